#include "station_agent/array/azimuth_estimator.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "server/base/angle.hpp"
#include "station_agent/array/look.hpp"
#include "station_agent/array/look_fault.hpp"
#include "station_agent/array/one_source.hpp"
#include "station_agent/array/spectrum.hpp"
#include "station_agent/array/two_sources.hpp"

namespace fixwright::agent::array {

namespace {

/// Frequencies whose steering vectors are kept: a channel plan's worth.
constexpr int kKeptFrequencies = 64;

CalibrationState state_of(const Manifold& manifold) {
  const ArrayCalibration& c = manifold.calibration();
  const bool measured = !c.elements.empty() && c.method != CalibrationMethod::configured;
  return measured || manifold.has_table() ? CalibrationState::calibrated
                                          : CalibrationState::uncalibrated;
}

bool covers(const ArrayCalibration& c, double frequency_hz) {
  const bool anywhere = c.low_hz == 0.0 && c.high_hz == 0.0;
  return anywhere || (frequency_hz >= c.low_hz && frequency_hz <= c.high_hz);
}

bool never_usable(CalibrationState state) {
  return state == CalibrationState::drifted || state == CalibrationState::incoherent;
}

void refuse(EstimateRefusal refusal, int element, Estimate& estimate) {
  estimate.refusal = refusal;
  estimate.element = element;
}

void add_alternative(Estimate& estimate, const Alternative& other) {
  int at = estimate.alternative_count;
  while (at > 0 && estimate.alternatives[at - 1].weight < other.weight) --at;
  if (at == kMaxAlternatives) return;
  if (estimate.alternative_count < kMaxAlternatives) ++estimate.alternative_count;
  auto& all = estimate.alternatives;
  std::copy_backward(all.begin() + at, all.begin() + estimate.alternative_count - 1,
                     all.begin() + estimate.alternative_count);
  all[at] = other;
}

}  // namespace

std::string_view word(EstimateRefusal refusal) {
  switch (refusal) {
    case EstimateRefusal::none:
      return "none";
    case EstimateRefusal::wrong_shape:
      return "wrong_shape";
    case EstimateRefusal::bad_covariance:
      return "bad_covariance";
    case EstimateRefusal::bad_noise_power:
      return "bad_noise_power";
    case EstimateRefusal::too_few_snapshots:
      return "too_few_snapshots";
    case EstimateRefusal::no_signal:
      return "no_signal";
    case EstimateRefusal::dead_element:
      return "dead_element";
    case EstimateRefusal::incoherent_element:
      return "incoherent_element";
    case EstimateRefusal::uncalibrated:
      return "uncalibrated";
    case EstimateRefusal::poor_fit:
      return "poor_fit";
  }
  return "unknown";
}

struct AzimuthEstimator::Workspace {
  Manifold manifold;
  EstimatorRules rules;
  CalibrationState state;
  SteeringGrid grid;

  [[nodiscard]] CalibrationState state_at(double frequency_hz) const;
  [[nodiscard]] bool withheld(CalibrationState now) const;
  [[nodiscard]] LookFault dead_in(const SpatialCovariance& covariance) const;
  [[nodiscard]] Spectrum spectrum_of(const Look& look);
  void judge(const Look& look, Estimate& estimate);
  void take_one(const Look& look, const OneSource& one, Estimate& estimate) const;
  void take_two(const Look& look, const Spectrum& spectrum, const TwoSources& two,
                Estimate& estimate) const;
  [[nodiscard]] ModelError error_of(const Estimate& estimate) const;
  [[nodiscard]] double most_misfit_deg(const OneSource& one, const Estimate& estimate) const;
};

CalibrationState AzimuthEstimator::Workspace::state_at(double frequency_hz) const {
  const bool known = covers(manifold.calibration(), frequency_hz);
  return known || never_usable(state) ? state : CalibrationState::uncalibrated;
}

bool AzimuthEstimator::Workspace::withheld(CalibrationState now) const {
  return now != CalibrationState::calibrated && (never_usable(now) || !rules.allow_uncalibrated);
}

LookFault AzimuthEstimator::Workspace::dead_in(const SpatialCovariance& covariance) const {
  const ElementReals& noise = covariance.noise_power;
  const double forward_deg = manifold.geometry().orientation_deg;
  const ElementVector a = manifold.steering(forward_deg, covariance.frequency_hz);
  ElementReals expected = a.cwiseAbs2().array() / noise.array();
  expected /= expected.mean();
  return find_dead(scaled_by_noise(covariance), expected, covariance.snapshots);
}

Spectrum AzimuthEstimator::Workspace::spectrum_of(const Look& look) {
  return {manifold, grid.at(manifold, look.frequency_hz), look.scale, look.frequency_hz,
          Sector{rules.sector_centre_deg, rules.sector_half_width_deg}};
}

ModelError AzimuthEstimator::Workspace::error_of(const Estimate& estimate) const {
  const bool calibrated = estimate.calibration == CalibrationState::calibrated;
  return {(calibrated ? rules.manifold_error_deg : rules.uncalibrated_error_deg) * kDegToRad,
          calibrated ? rules.floor_deg : rules.uncalibrated_floor_deg};
}

/// What noise alone may leave is no one's fault.
double AzimuthEstimator::Workspace::most_misfit_deg(const OneSource& one,
                                                    const Estimate& estimate) const {
  if (one.fits) return std::numeric_limits<double>::infinity();
  return estimate.calibration == CalibrationState::calibrated ? rules.largest_misfit_deg
                                                              : rules.uncalibrated_misfit_deg;
}

void AzimuthEstimator::Workspace::take_one(const Look& look, const OneSource& one,
                                           Estimate& estimate) const {
  estimate.azimuth_deg = one.azimuth_deg;
  estimate.noise_sigma_deg = one.noise_sigma_deg;
  estimate.sigma_deg =
      std::hypot(one.noise_sigma_deg, error_of(estimate).floor_deg, one.excess_sigma_deg);
  const Likelihoods likely =
      likelihoods(one.peaks, effective_snapshots(look, one, error_of(estimate)));
  estimate.weight = likely.weight[0];
  for (int i = 1; i < one.peaks.count; ++i) {
    if (likely.weight[i] < 1e-3) continue;
    estimate.ambiguous = estimate.ambiguous || likely.weight[i] >= rules.ambiguous_weight;
    add_alternative(estimate, {one.peaks.peaks[i].azimuth_deg, likely.weight[i]});
  }
}

void AzimuthEstimator::Workspace::take_two(const Look& look, const Spectrum& spectrum,
                                           const TwoSources& two, Estimate& estimate) const {
  estimate.second = look.subspace.sources > 1 ? SecondSource::independent : SecondSource::coherent;
  estimate.azimuth_deg = two.strong_deg;
  estimate.noise_sigma_deg = two.strong_sigma_deg;
  estimate.sigma_deg = std::hypot(two.strong_sigma_deg, error_of(estimate).floor_deg);
  const PeakList images = images_of(spectrum, two.strong_deg);
  const double share = (1.0 - two.weak_share) / (1 + images.count);
  estimate.weight = share;
  estimate.ambiguous = images.count > 0;
  add_alternative(estimate, {two.weak_deg, two.weak_share});
  for (int i = 0; i < images.count; ++i) {
    add_alternative(estimate, {images.peaks[i].azimuth_deg, share});
  }
}

void AzimuthEstimator::Workspace::judge(const Look& look, Estimate& estimate) {
  const Spectrum spectrum = spectrum_of(look);
  const ModelError error = error_of(estimate);
  const OneSource one = fit_one(look, spectrum, error);
  if (one.peaks.count == 0 || !std::isfinite(one.noise_sigma_deg)) {
    return refuse(EstimateRefusal::no_signal, -1, estimate);
  }
  if (const LookFault fault = find_incoherent(look.matrix, look.snapshots);
      fault.fault != ElementFault::none) {
    return refuse(EstimateRefusal::incoherent_element, fault.element, estimate);
  }
  estimate.snr_db = 10.0 * std::log10(one.snr);
  estimate.misfit_deg = one.misfit_deg;
  const TwoSources two = fit_two(look, spectrum, one, error);
  if (two.found) {
    take_two(look, spectrum, two, estimate);
  } else if (one.misfit_deg > most_misfit_deg(one, estimate) || look.subspace.sources > 1) {
    estimate.refusal = EstimateRefusal::poor_fit;
  } else {
    take_one(look, one, estimate);
  }
}

AzimuthEstimator::AzimuthEstimator(Manifold manifold, EstimatorRules rules) {
  const int elements = manifold.elements();
  const CalibrationState state = state_of(manifold);
  work_ = std::make_unique<Workspace>(
      Workspace{std::move(manifold), rules, state, SteeringGrid{elements, kKeptFrequencies}});
}
AzimuthEstimator::~AzimuthEstimator() = default;
AzimuthEstimator::AzimuthEstimator(AzimuthEstimator&&) noexcept = default;
AzimuthEstimator& AzimuthEstimator::operator=(AzimuthEstimator&&) noexcept = default;

void AzimuthEstimator::set_calibration_state(CalibrationState state) { work_->state = state; }
const Manifold& AzimuthEstimator::manifold() const { return work_->manifold; }

Estimate AzimuthEstimator::estimate(const SpatialCovariance& covariance) {
  Estimate estimate;
  estimate.calibration = work_->state_at(covariance.frequency_hz);
  estimate.refusal =
      input_refusal(covariance, work_->manifold.elements(), work_->rules.min_snapshots);
  if (!estimate.accepted()) return estimate;
  if (work_->withheld(estimate.calibration)) {
    estimate.refusal = EstimateRefusal::uncalibrated;
    return estimate;
  }
  if (const LookFault fault = work_->dead_in(covariance); fault.fault != ElementFault::none) {
    refuse(EstimateRefusal::dead_element, fault.element, estimate);
    return estimate;
  }
  const Look look = look_of(covariance);
  estimate.sources = look.subspace.sources;
  if (look.subspace.sources == 0) {
    estimate.refusal = EstimateRefusal::no_signal;
    return estimate;
  }
  work_->judge(look, estimate);
  return estimate;
}

}  // namespace fixwright::agent::array
