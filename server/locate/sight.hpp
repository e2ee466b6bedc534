#pragma once
/// A pooled bearing made ready for the inner loop. Inside `locate` only.

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "server/geodesy/fast_azimuth.hpp"
#include "server/locate/rules.hpp"
#include "server/model/fix.hpp"
#include "server/model/station.hpp"

namespace fixwright::locate {

/// One azimuth that a measurement admits.
struct Hypothesis {
  double azimuth_rad = 0.0;
  double cost_nats = 0.0;  // -ln of its prior share, >= 0
};

inline constexpr std::size_t kMaxHypotheses = 5;  // the main azimuth and four alternatives

struct Sight {
  geodesy::StationFrame frame;
  GeoPoint station;
  double sigma_rad = 0.0;      // with the error of the station's place, see widen_for_places()
  double own_sigma_rad = 0.0;  // without
  double station_sigma_m = 0.0;
  StationId moving_station = 0;  // 0: a fixed one
  /// What it costs to call this bearing a gross error: ln of ((1 - e) Gaussian peak / (e / 2 pi)).
  double outlier_cost_nats = 0.0;
  std::array<Hypothesis, kMaxHypotheses> hypotheses{};
  std::size_t hypothesis_count = 1;
  /// Sights within a metre of one another share a place; those of one moving station within
  /// kMovingSite_m: more of them agree no better than one.
  int place = 0;
  std::size_t input = 0;  // index in the caller's order
};

/// Which azimuth of a sight is believed; kSetAside: none, it is a gross error.
using Choice = std::int8_t;
inline constexpr Choice kSetAside = -1;

/// Sights in an order that does not depend on the caller's.
std::vector<Sight> make_sights(std::span<const PooledBearing> bearings, const LocateRules& rules);

/// Takes the error of moving stations' places into their sigmas, as seen from this point: an angle
/// of error / range. \return whether a sigma changed by more than a hundredth.
bool widen_for_places(std::span<Sight> sights, const geodesy::SurfacePoint& point,
                      const LocateRules& rules);

/// Distinct places among the sights; with `choices`, among those not set aside.
int count_places(std::span<const Sight> sights);
int count_places(std::span<const Sight> sights, std::span<const Choice> choices);

/// The same direction in [-pi, pi], for a difference of two angles within it.
inline double wrap_pi(double rad) {
  constexpr double kPi = 3.141592653589793;
  return rad > kPi ? rad - 2.0 * kPi : (rad < -kPi ? rad + 2.0 * kPi : rad);
}

}  // namespace fixwright::locate
