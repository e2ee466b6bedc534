#pragma once
/// What a calibration comes to: a proposal with its evidence. It is never applied by itself; a
/// person, or a rule a person wrote, accepts it.

#include <cstddef>
#include <string>

#include "server/base/time.hpp"
#include "server/model/ids.hpp"

namespace fixwright::calibrate {

struct CalibrationProposal {
  StationId station = 0;
  /// Indicated minus true azimuth, [-180, 180): subtract it from each azimuth before use.
  double bias_deg = 0.0;
  double bias_sigma_deg = 0.0;  // one standard deviation of bias_deg, >= 0
  /// What one bearing scatters about bias_deg, one standard deviation: noise and site together.
  double spread_deg = 0.0;
  std::size_t bearings = 0;
  std::size_t references = 0;  // transmitters behind it
  TimePoint first;             // of the bearings behind it
  TimePoint last;
  std::string evidence;  // one line for a person
};

}  // namespace fixwright::calibrate
