#pragma once
/// Angles. Degrees at the edges, radians only inside a function.

#include <cmath>
#include <numbers>

namespace fixwright {

inline constexpr double kDegToRad = std::numbers::pi / 180.0;
inline constexpr double kRadToDeg = 180.0 / std::numbers::pi;

/// The same direction in [0, 360). \pre finite.
inline double wrap_360(double deg) {
  const double wrapped = std::fmod(deg, 360.0);
  const double positive = wrapped < 0.0 ? wrapped + 360.0 : wrapped;
  return positive < 360.0 ? positive : 0.0;  // -1e-20 + 360 rounds up to 360
}

/// The same angle in [-180, 180): what the difference of two azimuths is. \pre finite.
inline double wrap_180(double deg) { return wrap_360(deg + 180.0) - 180.0; }

}  // namespace fixwright
