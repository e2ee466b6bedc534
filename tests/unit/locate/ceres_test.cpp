/// An independent solver on the same residuals gives the same place.

#include <gtest/gtest.h>

#include <algorithm>

#include "server/locate/cross_fix.hpp"
#include "tests/unit/locate/ceres_reference.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::locate {
namespace {

struct RandomCase {
  GeoPoint emitter;
  std::vector<PooledBearing> bearings;
};

/// 3 to 6 stations; three cases of four at 5 to 80 km, the others at 200 to 1000 km; sigma 0.5 to
/// 5 degrees (to 1 degree when far); any latitude to 75 degrees, any longitude.
RandomCase draw(std::mt19937_64& random) {
  std::uniform_real_distribution<double> share(0.0, 1.0);
  const bool far = share(random) < 0.25;
  RandomCase c;
  c.emitter = {150.0 * share(random) - 75.0, 360.0 * share(random) - 180.0};
  const int stations = 3 + static_cast<int>(4.0 * share(random));
  const double sigma_deg = far ? 0.2 + 0.8 * share(random) : 0.5 + 4.5 * share(random);
  for (int i = 0; i < stations; ++i) {
    const double range_m = far ? 2e5 + 8e5 * share(random) : 5e3 + 75e3 * share(random);
    const GeoPoint place = geodesy::direct(c.emitter, 360.0 * share(random), range_m);
    c.bearings.push_back(world::exact(i + 1, place, c.emitter, sigma_deg));
  }
  world::add_noise(c.bearings, random);
  return c;
}

/// There the likelihood has an edge, no optimum: both solvers stop somewhere in the last metre.
bool at_a_station(const RandomCase& c, GeoPoint position) {
  return std::any_of(c.bearings.begin(), c.bearings.end(), [&](const PooledBearing& b) {
    return geodesy::distance_m(b.station_position, position) < 1.0;
  });
}

TEST(CrossFix, CeresFindsTheSamePlaceWithinACentimetre) {
  constexpr int kCases = 10'000;
  std::mt19937_64 random(2024);
  LocateRules rules;
  rules.accept_open_region = true;
  int compared = 0;
  for (int i = 0; i < kCases; ++i) {
    const RandomCase c = draw(random);
    const CrossFix fix = cross_fix(c.bearings, rules);
    if (!fix.accepted() || at_a_station(c, fix.position)) {
      continue;
    }
    std::vector<PooledBearing> used;
    for (std::size_t k = 0; k < c.bearings.size(); ++k) {
      if (fix.verdicts[k].used) {
        used.push_back(c.bearings[k]);
      }
    }
    // Started 2 % of the nearest range off our answer: Ceres finds its own way to the optimum.
    const double nudge_m = 0.02 * geodesy::distance_m(used.front().station_position, fix.position);
    const GeoPoint start = geodesy::direct(fix.position, 77.0, nudge_m);
    const GeoPoint other = reference::solve(used, start);
    EXPECT_LT(geodesy::distance_m(fix.position, other), 0.01) << "case " << i;
    ++compared;
  }
  EXPECT_GT(compared, 9'500);  // the rest cross at less than 5 degrees, too far, or at a station
  std::cout << compared << " of " << kCases << " cases accepted and compared\n";
}

}  // namespace
}  // namespace fixwright::locate
