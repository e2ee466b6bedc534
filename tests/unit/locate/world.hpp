#pragma once
/// Stations and emitters of the invented island of Osmere, for the tests of `locate`.

#include <random>
#include <vector>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/model/fix.hpp"

namespace fixwright::locate::world {

inline constexpr GeoPoint kOrigin{41.20, -150.30};
inline constexpr GeoPoint kLanternHead{41.430, -150.450};
inline constexpr GeoPoint kMossRidge{41.330, -150.020};
inline constexpr GeoPoint kQuillPoint{41.020, -150.120};
inline constexpr GeoPoint kHarrowHill{41.080, -150.560};

/// The bearing that an error-free receiver at `station` would take.
inline PooledBearing exact(int station, GeoPoint place, GeoPoint emitter, double sigma_deg) {
  return {station, place, geodesy::inverse(place, emitter).azimuth1_deg, sigma_deg, 1, {}};
}

/// One exact bearing of each place.
inline std::vector<PooledBearing> exact_from(const std::vector<GeoPoint>& places, GeoPoint emitter,
                                             double sigma_deg) {
  std::vector<PooledBearing> bearings;
  for (std::size_t i = 0; i < places.size(); ++i) {
    bearings.push_back(exact(static_cast<int>(i) + 1, places[i], emitter, sigma_deg));
  }
  return bearings;
}

/// The same with Gaussian errors of each bearing's own sigma.
inline void add_noise(std::vector<PooledBearing>& bearings, std::mt19937_64& random) {
  for (PooledBearing& b : bearings) {
    b.azimuth_deg =
        wrap_360(b.azimuth_deg + std::normal_distribution<double>(0.0, b.sigma_deg)(random));
  }
}

inline std::vector<GeoPoint> four_stations() {
  return {kLanternHead, kMossRidge, kQuillPoint, kHarrowHill};
}

}  // namespace fixwright::locate::world
