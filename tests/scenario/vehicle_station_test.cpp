#include <gtest/gtest.h>

#include <algorithm>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "tests/support/scenario/feed.hpp"
#include "tests/support/scenario/map.hpp"

namespace fixwright::scenario {
namespace {

constexpr auto kIsland = R"(
  A . . . . . . . B
  . . . . . . . . .
  . . . 1 . . . . .
  . . . . . . . . .
  . C . . . . . . .
)";

constexpr StationId kRover = 3;
constexpr double kPlaceSigma_m = 10.0;

/// C, as a vehicle that drives east at 15 m/s and takes a bearing a second; its receiver of
/// positions errs by kPlaceSigma_m on each axis.
std::vector<Bearing> rover_bearings(const Map& map, GeoPoint emitter, int count,
                                    std::uint64_t seed) {
  Dice dice(seed);
  std::vector<Bearing> bearings;
  for (int i = 0; i < count; ++i) {
    const GeoPoint place = geodesy::displace(map.stations.at(kRover).position, {15.0 * i, 0.0});
    Bearing b;
    b.key = {kRover, 1, static_cast<std::uint64_t>(i + 1)};
    b.channel = 1;
    b.start = scenario_start() + std::chrono::seconds{i} + std::chrono::milliseconds{120};
    b.frequency_hz = 156.8e6;
    b.sigma_deg = 2.0;
    b.azimuth_deg =
        wrap_360(geodesy::inverse(place, emitter).azimuth1_deg + b.sigma_deg * dice.normal());
    b.station_position =
        geodesy::displace(place, {kPlaceSigma_m * dice.normal(), kPlaceSigma_m * dice.normal()});
    b.station_moves = true;
    b.station_sigma_m = kPlaceSigma_m;
    bearings.push_back(b);
  }
  return bearings;
}

Map island() {
  Map map = draw(kIsland, 2.0);
  map.stations.at(kRover).moves = true;
  return map;
}

/// Chi-square of the true place by the emitter's own covariance, 2 degrees of freedom.
double chi_square(const Emitter& e, GeoPoint truth) {
  return geodesy::mahalanobis_squared(e.fix.covariance, geodesy::offset(e.fix.position, truth));
}

Tables run_with_rover(const Map& map, std::uint64_t seed, bool with_rover) {
  Stations fixed = map.stations;
  fixed.erase(kRover);
  const Source source{.position = map.emitters.at('1'), .on = {{0.0, 120.0}}};
  std::vector<Bearing> bearings = simulate(fixed, {source}, {.seed = seed});
  if (with_rover) {
    const auto own = rover_bearings(map, source.position, 120, seed);
    bearings.insert(bearings.end(), own.begin(), own.end());
  }
  std::sort(bearings.begin(), bearings.end(), EventOrder{});
  return run(map.stations, bearings);
}

TEST(VehicleStation, TwoFixedOnesAndADrivingOneFindTheEmitter) {
  const Map map = island();
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    SCOPED_TRACE(seed);
    const Tables tables = run_with_rover(map, seed, true);
    const auto confirmed = tables.in_state(EmitterState::confirmed);
    ASSERT_EQ(confirmed.size(), 1U);
    EXPECT_EQ(tables.emitters.size(), 1U);
    // 99.9 % of true places lie within 13.8 (chi-square, 2 degrees of freedom): over five seeds one
    // in 200 runs would fail by chance, and the seeds are fixed.
    EXPECT_LT(chi_square(confirmed.front(), map.emitters.at('1')), 13.8);
    int of_rover = 0;
    for (const auto& [key, fix] : tables.fixes) {
      of_rover += static_cast<int>(
          std::count_if(fix.bearings.begin(), fix.bearings.end(),
                        [](const FixBearing& b) { return b.used && b.key.station == kRover; }));
    }
    EXPECT_GT(of_rover, 100);
  }
}

TEST(VehicleStation, MakesTheFixSharper) {
  const Map map = island();
  const Tables with = run_with_rover(map, 1, true);
  const Tables without = run_with_rover(map, 1, false);
  ASSERT_EQ(with.emitters.size(), 1U);
  ASSERT_EQ(without.emitters.size(), 1U);
  EXPECT_LT(with.emitters.begin()->second.fix.ellipse.semi_major_m,
            without.emitters.begin()->second.fix.ellipse.semi_major_m);
}

}  // namespace
}  // namespace fixwright::scenario
