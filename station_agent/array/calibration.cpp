#include "station_agent/array/calibration.hpp"

#include <cmath>

#include "server/base/angle.hpp"

namespace fixwright::agent::array {

Complex ArrayCalibration::response(int element, double frequency_hz) const {
  const ElementResponse& r = elements[element];
  const double turns = (frequency_hz - reference_hz) * r.delay_s;
  return std::polar(std::pow(10.0, r.gain_db / 20.0),
                    r.phase_deg * kDegToRad - 2.0 * std::numbers::pi * turns);
}

std::string_view word(CalibrationState state) {
  switch (state) {
    case CalibrationState::calibrated:
      return "calibrated";
    case CalibrationState::uncalibrated:
      return "uncalibrated";
    case CalibrationState::expired:
      return "expired";
    case CalibrationState::temperature_change:
      return "temperature_change";
    case CalibrationState::drifted:
      return "drifted";
    case CalibrationState::incoherent:
      return "incoherent";
  }
  return "unknown";
}

std::string_view word(CalibrationMethod method) {
  switch (method) {
    case CalibrationMethod::configured:
      return "configured";
    case CalibrationMethod::common_reference:
      return "common_reference";
    case CalibrationMethod::known_transmitter:
      return "known_transmitter";
  }
  return "unknown";
}

}  // namespace fixwright::agent::array
