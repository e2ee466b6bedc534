#pragma once
/// The directions a station shows in one transmission. Inside `locate` only.

#include <span>
#include <vector>

#include "server/locate/pool.hpp"

namespace fixwright::locate {

/// Bearings of one station and place that point the same way.
struct Ray {
  PooledBearing pooled;
  std::vector<std::size_t> bearings;  // indices into what was given, rising
  std::size_t place = 0;              // rays of one station and place share it; 0 and up
};

/// Rays by station, place and azimuth. Bearings part where the density of a place's azimuths,
/// smoothed by twice their sigma, has a valley (B. W. Silverman, Density Estimation, 1986): two
/// bearings are told apart from 4.4 sigma on, so one emitter's two are torn apart once in 560.
/// Bearings of one instant are told apart from half a sigma on, since one emitter gives one at a
/// time; from 2.5 sigma on where all times are whole seconds, as a log may have cut them.
std::vector<Ray> find_rays(std::span<const Bearing> bearings, const Stations& stations,
                           const LocateRules& rules);

}  // namespace fixwright::locate
