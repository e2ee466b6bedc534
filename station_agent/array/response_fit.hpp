#pragma once
/// Gain, phase and delay of each element from responses measured at one or several frequencies.

#include <vector>

#include "station_agent/array/calibration.hpp"

namespace fixwright::agent::array {

struct MeasuredResponse {
  double frequency_hz = 0.0;
  ElementVector response;  // up to a common factor
  double noise_rad = 0.0;  // what noise does to each phase, rms
};

/// Least squares. Reference frequency is the mean of the measured ones; low_hz and high_hz their
/// ends; residual_deg the rms of what is left of phases and gains, and never less than the noise.
/// \pre measured is not empty; all of one size; no response is 0.
ArrayCalibration fit_responses(const std::vector<MeasuredResponse>& measured);

/// The delay, s, that best explains phases at these frequencies; |delay| <= limit_s; of equally
/// good ones the smallest.
struct PhaseAt {
  double frequency_hz = 0.0;
  double phase_rad = 0.0;
};
double delay_of(const std::vector<PhaseAt>& phases, double limit_s);

}  // namespace fixwright::agent::array
