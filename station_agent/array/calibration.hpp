#pragma once
/// What the way from each element to its samples does to a signal, as measured.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/time.hpp"
#include "station_agent/array/elements.hpp"

namespace fixwright::agent::array {

/// One element's way, relative to the array's others. At frequency f the signal is multiplied by
/// 10^(gain_db/20) exp(i (phase - 2 pi (f - reference_hz) delay)).
struct ElementResponse {
  double gain_db = 0.0;
  double phase_deg = 0.0;  // at reference_hz; positive: the samples are ahead
  double delay_s = 0.0;    // positive: a longer cable
};

enum class CalibrationMethod {
  configured,         // typed in: cable lengths and the like
  common_reference,   // one signal fed to all receivers alike
  known_transmitter,  // a transmitter at a known azimuth
};

struct ArrayCalibration {
  CalibrationMethod method = CalibrationMethod::configured;
  TimePoint date{};
  std::optional<double> temperature_c;
  double reference_hz = 0.0;
  /// Measured from here to there; the response is not known to hold outside. 0 and 0: anywhere.
  double low_hz = 0.0;
  double high_hz = 0.0;
  /// What the model above leaves unexplained: rms over elements and frequencies, as phase. It
  /// includes the measurement's own noise. Gain's share counts alike: 1 % is 0.57 deg.
  double residual_deg = 0.0;
  std::vector<ElementResponse> elements;  // in the order of the receiver's channels
  std::string reference;                  // what was measured, one line for people; may be empty

  [[nodiscard]] Complex response(int element, double frequency_hz) const;
};

/// How far the array's calibration may be trusted now. All but the first are a reason to
/// withhold bearings, or to flag them where the operator wants that.
enum class CalibrationState {
  calibrated,
  uncalibrated,        // there is none for this array, or not at this frequency
  expired,             // older than allowed
  temperature_change,  // measured at another temperature than allowed
  drifted,             // a newer measurement differs
  incoherent,          // receivers have lost their common phase
};

/// The word in logs, metrics and on the screen: the enumerator's own name.
std::string_view word(CalibrationState state);
std::string_view word(CalibrationMethod method);

}  // namespace fixwright::agent::array
