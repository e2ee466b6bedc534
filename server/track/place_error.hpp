#pragma once
/// What the error of a moving station's place does to its bearings.

#include <algorithm>

#include "server/base/angle.hpp"
#include "server/model/bearing.hpp"

namespace fixwright::track {

/// Variance of an azimuth towards a place at this range, deg^2: (error / range)^2, at most that of
/// no direction at all. 0 for a fixed station.
inline double place_variance_deg2(const Bearing& bearing, double range_m) {
  const double error_rad = bearing.station_sigma_m / std::max(range_m, 1.0);
  const double error_deg = std::min(error_rad, 1.0) * kRadToDeg;
  return error_deg * error_deg;
}

}  // namespace fixwright::track
