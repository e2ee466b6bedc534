#pragma once
/// What the error of a moving station's place does to its bearings.

#include "server/base/angle.hpp"
#include "server/geodesy/place_error.hpp"
#include "server/model/bearing.hpp"

namespace fixwright::track {

/// Variance of an azimuth towards a place at this range, deg^2. 0 for a fixed station.
inline double place_variance_deg2(const Bearing& bearing, double range_m) {
  const double error_deg = geodesy::place_error_rad(bearing.station_sigma_m, range_m) * kRadToDeg;
  return error_deg * error_deg;
}

}  // namespace fixwright::track
