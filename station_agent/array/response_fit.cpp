#include "station_agent/array/response_fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "server/base/angle.hpp"

namespace fixwright::agent::array {

namespace {

constexpr double kTwoPi = 2.0 * std::numbers::pi;
constexpr double kLongest_s = 1e-6;  // 200 m of cable
constexpr double kSame_hz = 1.0;
constexpr double kNeperDb = 8.685889638065037;  // 20 / ln 10

/// The phases' sum after a delay was taken out.
Complex aligned(const std::vector<PhaseAt>& phases, double delay_s) {
  Complex sum = 0.0;
  for (const PhaseAt& p : phases) {
    sum += std::polar(1.0, p.phase_rad + kTwoPi * p.frequency_hz * delay_s);
  }
  return sum;
}

/// What least squares adds to a delay that is nearly right already.
double polish(const std::vector<PhaseAt>& phases, double delay_s) {
  const Complex mean = aligned(phases, delay_s);
  double middle_hz = 0.0;
  for (const PhaseAt& p : phases) middle_hz += p.frequency_hz / static_cast<double>(phases.size());
  double sxx = 0.0;
  double sxy = 0.0;
  for (const PhaseAt& p : phases) {
    const double x = kTwoPi * (p.frequency_hz - middle_hz);
    const double angle = p.phase_rad + kTwoPi * p.frequency_hz * delay_s;
    sxx += x * x;
    sxy += x * std::arg(std::polar(1.0, angle) * std::conj(mean));
  }
  return sxx > 0.0 ? delay_s - sxy / sxx : delay_s;
}

/// Half the inverse of the smallest step: beyond it delays repeat. 0 for one frequency.
double delay_limit_s(const std::vector<MeasuredResponse>& measured) {
  std::vector<double> sorted;
  for (const MeasuredResponse& m : measured) sorted.push_back(m.frequency_hz);
  std::sort(sorted.begin(), sorted.end());
  double smallest_hz = std::numeric_limits<double>::infinity();
  for (std::size_t i = 1; i < sorted.size(); ++i) {
    const double step_hz = sorted[i] - sorted[i - 1];
    if (step_hz > kSame_hz) smallest_hz = std::min(smallest_hz, step_hz);
  }
  return std::isinf(smallest_hz) ? 0.0 : std::min(kLongest_s, 0.5 / smallest_hz);
}

double mean_log_gain(const ElementVector& response) {
  return response.cwiseAbs().array().log().mean();
}

ElementResponse fit_element(const std::vector<MeasuredResponse>& measured, int element,
                            double reference_hz, double limit_s) {
  std::vector<PhaseAt> phases;
  double log_gain = 0.0;
  for (const MeasuredResponse& m : measured) {
    const Complex ratio = m.response[element] * std::conj(m.response[0]);
    phases.push_back({m.frequency_hz - reference_hz, std::arg(ratio)});
    log_gain += std::log(std::abs(m.response[element])) - mean_log_gain(m.response);
  }
  ElementResponse fitted;
  fitted.gain_db = kNeperDb * log_gain / static_cast<double>(measured.size());
  fitted.delay_s = delay_of(phases, limit_s);
  fitted.phase_deg = std::arg(aligned(phases, fitted.delay_s)) * kRadToDeg;
  return fitted;
}

/// Rms of what the fit leaves, as phase; of no degree of freedom nothing is left.
double residual_rad(const ArrayCalibration& fitted, const std::vector<MeasuredResponse>& measured) {
  double sum = 0.0;
  for (const MeasuredResponse& m : measured) {
    const Complex first = m.response[0] / fitted.response(0, m.frequency_hz);
    const double gain = mean_log_gain(m.response);
    for (std::size_t e = 0; e < fitted.elements.size(); ++e) {
      const Complex model = fitted.response(static_cast<int>(e), m.frequency_hz);
      const Complex left = m.response[e] / model;
      const double phase = std::arg(left * std::conj(first));
      const double gain_left = std::log(std::abs(left)) - gain;
      sum += phase * phase + gain_left * gain_left;
    }
  }
  const auto looks = static_cast<double>(measured.size());
  const double parameters = fitted.elements[1].delay_s == 0.0 ? 2.0 : 3.0;
  const double freedoms =
      (static_cast<double>(fitted.elements.size()) - 1.0) * (2.0 * looks - parameters);
  return freedoms > 0.0 ? std::sqrt(sum / freedoms) : 0.0;
}

}  // namespace

double delay_of(const std::vector<PhaseAt>& phases, double limit_s) {
  double low_hz = phases.front().frequency_hz;
  double high_hz = low_hz;
  for (const PhaseAt& p : phases) {
    low_hz = std::min(low_hz, p.frequency_hz);
    high_hz = std::max(high_hz, p.frequency_hz);
  }
  if (limit_s <= 0.0 || high_hz - low_hz <= kSame_hz) return 0.0;
  const double step_s = 1.0 / (16.0 * (high_hz - low_hz));
  double best_s = 0.0;
  double best = std::abs(aligned(phases, 0.0));
  for (double size_s = step_s; size_s <= limit_s + step_s; size_s += step_s) {
    for (const double delay_s : {size_s, -size_s}) {
      const double sum = std::abs(aligned(phases, delay_s));
      // By a hair only is no better: smaller delays come first.
      if (sum <= best * (1.0 + 1e-9)) continue;
      best = sum;
      best_s = delay_s;
    }
  }
  return polish(phases, best_s);
}

ArrayCalibration fit_responses(const std::vector<MeasuredResponse>& measured) {
  ArrayCalibration fitted;
  fitted.low_hz = fitted.high_hz = measured.front().frequency_hz;
  double noise_rad = 0.0;
  for (const MeasuredResponse& m : measured) {
    fitted.low_hz = std::min(fitted.low_hz, m.frequency_hz);
    fitted.high_hz = std::max(fitted.high_hz, m.frequency_hz);
    fitted.reference_hz += m.frequency_hz / static_cast<double>(measured.size());
    noise_rad = std::max(noise_rad, m.noise_rad);
  }
  const double limit_s = delay_limit_s(measured);
  for (int e = 0; e < measured.front().response.size(); ++e) {
    fitted.elements.push_back(fit_element(measured, e, fitted.reference_hz, limit_s));
  }
  fitted.residual_deg = std::max(residual_rad(fitted, measured), noise_rad) * kRadToDeg;
  return fitted;
}

}  // namespace fixwright::agent::array
