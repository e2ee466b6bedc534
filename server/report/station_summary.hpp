#pragma once

#include <string>
#include <vector>

#include "server/model/evidence.hpp"

namespace fixwright::report {

/// What the bearings of one station say.
struct StationSummary {
  std::string name;
  std::size_t used = 0;
  std::size_t set_aside = 0;
  /// Of those used, degrees; 0 when there are none.
  double mean_azimuth_deg = 0.0;
  double mean_residual_deg = 0.0;
  double rms_residual_deg = 0.0;
};

/// Of every station with a bearing, by name.
std::vector<StationSummary> summarise(const std::vector<EvidenceBearing>& bearings);

}  // namespace fixwright::report
