#pragma once
/// What the error of a station's place does to its azimuths.

#include <algorithm>

namespace fixwright::geodesy {

/// One standard deviation of an azimuth towards a place at this range, from a station whose own
/// place is known to `sigma_m` on each axis: to first order their ratio. \pre both >= 0. At most
/// 1 rad: the station may be where the emitter is, and then it tells no direction. A range under
/// a metre counts as one. 0 for a place that is known.
inline double place_error_rad(double sigma_m, double range_m) {
  return std::min(sigma_m / std::max(range_m, 1.0), 1.0);
}

}  // namespace fixwright::geodesy
