#include "station_agent/array/calibrate.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "server/base/angle.hpp"
#include "station_agent/array/look.hpp"
#include "station_agent/array/look_fault.hpp"
#include "station_agent/array/manifold.hpp"
#include "station_agent/array/response_fit.hpp"

namespace fixwright::agent::array {

namespace {

constexpr double kLeastSnapshots = 16.0;

/// The responses as one look shows them, free of the way that the reference itself took.
MeasuredResponse response_of(const Look& look, const ReferenceLook& reference,
                             const Manifold& manifold, const CalibrationPlan& plan) {
  ElementVector c = look.subspace.principal();
  c.array() /= look.scale.array();
  if (reference.azimuth_deg) {
    c.array() /= manifold.ideal_steering(*reference.azimuth_deg, look.frequency_hz).array();
  }
  for (std::size_t e = 0; e < plan.reference_legs.elements.size(); ++e) {
    c[e] /= plan.reference_legs.response(static_cast<int>(e), look.frequency_hz);
  }
  const double snr = (look.subspace.largest() - 1.0) / static_cast<double>(look.matrix.rows());
  const double noise_rad = std::sqrt(1.0 / (2.0 * look.snapshots * snr));
  return {look.frequency_hz, c, noise_rad};
}

CalibrationResult failed(CalibrationProblem problem, int look = -1, int element = -1) {
  return {problem, element, look, {}};
}

CalibrationResult judge(const Look& look, int index, const CalibrationPlan& plan) {
  const LookFault lost = find_incoherent(look.matrix, look.snapshots);
  if (lost.fault != ElementFault::none) {
    return failed(CalibrationProblem::incoherent_element, index, lost.element);
  }
  if (look.subspace.sources > 1) return failed(CalibrationProblem::several_sources, index);
  int weakest = 0;
  const ElementReals power = look.matrix.diagonal().real();
  const double least = power.minCoeff(&weakest) - 1.0;
  if (!(least >= std::pow(10.0, plan.least_snr_db / 10.0))) {
    return failed(CalibrationProblem::weak_signal, index, weakest);
  }
  return {};
}

CalibrationResult judge_input(const SpatialCovariance& look, int elements, int index) {
  if (input_refusal(look, elements, kLeastSnapshots) != EstimateRefusal::none) {
    return failed(CalibrationProblem::bad_look, index);
  }
  const LookFault dead =
      find_dead(scaled_by_noise(look), ElementReals::Ones(elements), look.snapshots);
  if (dead.fault == ElementFault::none) return {};
  return failed(CalibrationProblem::dead_element, index, dead.element);
}

}  // namespace

std::string_view word(CalibrationProblem problem) {
  switch (problem) {
    case CalibrationProblem::none:
      return "none";
    case CalibrationProblem::no_looks:
      return "no_looks";
    case CalibrationProblem::bad_look:
      return "bad_look";
    case CalibrationProblem::dead_element:
      return "dead_element";
    case CalibrationProblem::incoherent_element:
      return "incoherent_element";
    case CalibrationProblem::several_sources:
      return "several_sources";
    case CalibrationProblem::weak_signal:
      return "weak_signal";
    case CalibrationProblem::poor_fit:
      return "poor_fit";
  }
  return "unknown";
}

CalibrationResult calibrate(const ArrayGeometry& geometry, const std::vector<ReferenceLook>& looks,
                            const CalibrationPlan& plan) {
  if (looks.empty()) return failed(CalibrationProblem::no_looks);
  const Manifold manifold{geometry};
  const bool known_place = looks.front().azimuth_deg.has_value();
  std::vector<MeasuredResponse> measured;
  for (int i = 0; i < static_cast<int>(looks.size()); ++i) {
    assert(looks[i].azimuth_deg.has_value() == known_place);
    CalibrationResult verdict = judge_input(looks[i].look, geometry.size(), i);
    if (verdict.problem != CalibrationProblem::none) return verdict;
    const Look look = look_of(looks[i].look);
    verdict = judge(look, i, plan);
    if (verdict.problem != CalibrationProblem::none) return verdict;
    measured.push_back(response_of(look, looks[i], manifold, plan));
  }
  CalibrationResult result;
  result.calibration = fit_responses(measured);
  result.calibration.date = plan.date;
  result.calibration.temperature_c = plan.temperature_c;
  result.calibration.method =
      known_place ? CalibrationMethod::known_transmitter : CalibrationMethod::common_reference;
  result.calibration.low_hz *= 1.0 - plan.margin;
  result.calibration.high_hz *= 1.0 + plan.margin;
  if (result.calibration.residual_deg > plan.largest_residual_deg) {
    result.problem = CalibrationProblem::poor_fit;
  }
  return result;
}

}  // namespace fixwright::agent::array
