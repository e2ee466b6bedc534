#include "station_agent/calibrate/refusal_text.hpp"

#include <fmt/core.h>

#include <cmath>

#include "station_agent/array/calibration_watch.hpp"

namespace fixwright::agent::calibrate {

std::string refusal_of(const array::CalibrationResult& result,
                       const std::vector<array::ReferenceLook>& looks) {
  using array::CalibrationProblem;
  if (result.problem == CalibrationProblem::poor_fit || result.look < 0) {
    return fmt::format(
        "gain, phase and delay leave {:.1f} deg unexplained: reflections, another transmitter, or "
        "a "
        "wrong place, order or orientation [{}]",
        result.calibration.residual_deg, word(result.problem));
  }
  const auto& look = looks[static_cast<std::size_t>(result.look)].look;
  const std::string where = fmt::format("{:.6f} MHz: ", look.frequency_hz / 1e6);
  const std::string tag = fmt::format(" [{}]", word(result.problem));
  const int element = result.element + 1;
  switch (result.problem) {
    case CalibrationProblem::dead_element:
      return where + fmt::format("element {} hears nothing: its cable, its plug", element) + tag;
    case CalibrationProblem::incoherent_element:
      return where +
             fmt::format(
                 "element {} shares no phase with the others: common clock, lock, lost "
                 "samples",
                 element) +
             tag;
    case CalibrationProblem::several_sources:
      return where + "the reference is not alone: another frequency, or cut off the antennas" + tag;
    case CalibrationProblem::weak_signal:
      return where +
             fmt::format("under 10 dB over the noise in element {}: a stronger reference",
                         element) +
             tag;
    default:
      return where + "the look can't be used" + tag;
  }
}

std::string movement_of(const array::ArrayCalibration& first, const array::ArrayCalibration& last) {
  const array::CalibrationDrift drift = compare(first, last, {});
  if (drift.state != array::CalibrationState::drifted) return {};
  return fmt::format(
      "element {} moved by {:.0f} deg, {:.1f} dB while it was measured: common clock, warming up, "
      "a "
      "loose plug [drifted]",
      drift.element + 1, drift.phase_deg, drift.gain_db);
}

std::string long_delay_of(const array::ArrayCalibration& calibration) {
  int element = 0;
  for (const array::ElementResponse& e : calibration.elements) {
    ++element;
    if (std::abs(e.delay_s) <= kLongestDelay_s) continue;
    return fmt::format(
        "element {} would have {:.1f} us of cable more: reflections, another transmitter, or a "
        "wrong "
        "place, order or orientation [poor_fit]",
        element, 1e6 * e.delay_s);
  }
  return {};
}

}  // namespace fixwright::agent::calibrate
