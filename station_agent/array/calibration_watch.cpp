#include "station_agent/array/calibration_watch.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "server/base/angle.hpp"

namespace fixwright::agent::array {

namespace {

struct Range {
  double low_hz = 0.0;
  double high_hz = 0.0;
};

Range range_of(const ArrayCalibration& c) {
  const bool anywhere = c.low_hz == 0.0 && c.high_hz == 0.0;
  return anywhere ? Range{0.0, std::numeric_limits<double>::infinity()}
                  : Range{c.low_hz, c.high_hz};
}

/// Ratios of the responses, without what all elements have in common.
ElementVector changes(const ArrayCalibration& stored, const ArrayCalibration& fresh,
                      double frequency_hz) {
  const int n = static_cast<int>(stored.elements.size());
  ElementVector ratio(n);
  for (int e = 0; e < n; ++e) {
    ratio[e] = fresh.response(e, frequency_hz) / stored.response(e, frequency_hz);
  }
  Complex common = 0.0;
  for (int e = 0; e < n; ++e) common += ratio[e] / std::abs(ratio[e]);
  const double gain = std::exp(ratio.cwiseAbs().array().log().mean());
  return ratio / std::polar(gain, std::arg(common));
}

void take_worst(const ElementVector& change, const CalibrationLimits& limits,
                CalibrationDrift& drift) {
  for (int e = 0; e < change.size(); ++e) {
    const double phase_deg = std::abs(std::arg(change[e])) * kRadToDeg;
    const double gain_db = std::abs(20.0 * std::log10(std::abs(change[e])));
    const double share =
        std::max(phase_deg / limits.largest_phase_deg, gain_db / limits.largest_gain_db);
    const double worst = std::max(drift.phase_deg / limits.largest_phase_deg,
                                  drift.gain_db / limits.largest_gain_db);
    if (drift.element >= 0 && share <= worst) continue;
    drift.element = e;
    drift.phase_deg = phase_deg;
    drift.gain_db = gain_db;
  }
}

}  // namespace

CalibrationState state_at(const ArrayCalibration& stored, TimePoint now,
                          std::optional<double> temperature_c, const CalibrationLimits& limits) {
  if (stored.elements.empty()) return CalibrationState::uncalibrated;
  const Duration age = now - stored.date;
  if (age > limits.longest_age || age < Duration::zero()) return CalibrationState::expired;
  const bool both = stored.temperature_c && temperature_c;
  const bool far = both && std::abs(*stored.temperature_c - *temperature_c) >
                               limits.largest_temperature_change_c;
  return far ? CalibrationState::temperature_change : CalibrationState::calibrated;
}

CalibrationDrift compare(const ArrayCalibration& stored, const ArrayCalibration& fresh,
                         const CalibrationLimits& limits) {
  CalibrationDrift drift;
  const Range a = range_of(stored);
  const Range b = range_of(fresh);
  const double low_hz = std::max(a.low_hz, b.low_hz);
  const double high_hz = std::min(a.high_hz, b.high_hz);
  const bool alike = stored.elements.size() == fresh.elements.size() && !stored.elements.empty();
  if (!alike || low_hz > high_hz) {
    drift.state = CalibrationState::uncalibrated;
    return drift;
  }
  const bool open = std::isinf(high_hz);
  const double middle_hz = open ? fresh.reference_hz : 0.5 * (low_hz + high_hz);
  for (const double f : {open ? middle_hz : low_hz, middle_hz, open ? middle_hz : high_hz}) {
    take_worst(changes(stored, fresh, f), limits, drift);
  }
  const bool far =
      drift.phase_deg > limits.largest_phase_deg || drift.gain_db > limits.largest_gain_db;
  if (far) drift.state = CalibrationState::drifted;
  return drift;
}

std::vector<ElementChange> element_changes(const ArrayCalibration& stored,
                                           const ArrayCalibration& fresh, double frequency_hz) {
  std::vector<ElementChange> all;
  for (const Complex& change : changes(stored, fresh, frequency_hz)) {
    all.push_back({std::arg(change) * kRadToDeg, 20.0 * std::log10(std::abs(change))});
  }
  return all;
}

void MisfitWatch::add(double misfit_deg) {
  against_[next_] = misfit_deg > limit_deg_;
  next_ = (next_ + 1) % kLooks;
  full_ = full_ || next_ == 0;
}

CalibrationState MisfitWatch::state() const {
  const bool drifted = full_ && 2 * against_.count() >= kLooks;
  return drifted ? CalibrationState::drifted : CalibrationState::calibrated;
}

}  // namespace fixwright::agent::array
