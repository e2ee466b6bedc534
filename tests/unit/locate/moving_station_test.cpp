// A station that moves: each bearing from its own place, and what its place's error costs.
#include <gtest/gtest.h>

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/geodesy/neighbours.hpp"
#include "server/locate/cross_fix.hpp"
#include "server/locate/locate_transmission.hpp"
#include "server/locate/pool.hpp"

namespace fixwright::locate {
namespace {

constexpr GeoPoint kEmitter{41.2, -150.3};

PooledBearing towards_emitter(StationId station, double east_m, double north_m, double sigma_deg) {
  PooledBearing b;
  b.station = station;
  b.station_position = geodesy::displace(kEmitter, {east_m, north_m});
  b.azimuth_deg = wrap_360(geodesy::inverse(b.station_position, kEmitter).azimuth1_deg);
  b.sigma_deg = sigma_deg;
  return b;
}

Bearing of_vehicle(std::uint64_t sequence, double east_m, double north_m) {
  const PooledBearing from = towards_emitter(1, east_m, north_m, 2.0);
  Bearing b;
  b.key = {1, 1, sequence};
  b.start = TimePoint{std::chrono::milliseconds{100 * sequence}};
  b.station_position = from.station_position;
  b.azimuth_deg = from.azimuth_deg;
  b.sigma_deg = 2.0;
  b.station_moves = true;
  b.station_sigma_m = 5.0;
  return b;
}

Stations one_vehicle(double site_sigma_deg) {
  return {{1, {1, "ROVER-1", kEmitter, 2.0, site_sigma_deg, 0.0, true}}};
}

TEST(Neighbours, CountDifferentPointsWithinTheRadius) {
  const auto at = [](double east_m) { return geodesy::displace(kEmitter, {east_m, 0.0}); };
  const std::vector<GeoPoint> points{at(0.0), at(40.0), at(80.0), at(80.0), at(500.0)};
  EXPECT_EQ(geodesy::count_neighbours(points, 50.0), (std::vector<int>{2, 3, 2, 2, 1}));
}

// Lines from south and west cross at right angles: each fixes one axis. Of the vehicle's, 1 km
// away, 30 m of place are added to 1000 m x sigma.
TEST(MovingStation, ItsPlacesErrorWidensTheFixAcrossItsLineOnly) {
  const double one_deg = kDegToRad;
  std::vector<PooledBearing> bearings{towards_emitter(2, -10'000.0, 0.0, 0.1),
                                      towards_emitter(1, 0.0, -1'000.0, 1.0)};
  const CrossFix exact = cross_fix(bearings);
  ASSERT_TRUE(exact.accepted());
  bearings[1].station_moves = true;
  bearings[1].station_sigma_m = 30.0;
  const CrossFix fix = cross_fix(bearings);
  ASSERT_TRUE(fix.accepted());
  // 2 %: the region's second-order terms at sigmas of a degree or two.
  EXPECT_NEAR(std::sqrt(exact.covariance.ee_m2), 1000.0 * one_deg, 0.35);
  EXPECT_NEAR(std::sqrt(fix.covariance.ee_m2), std::hypot(1000.0 * one_deg, 30.0), 0.7);
  EXPECT_NEAR(std::sqrt(fix.covariance.nn_m2), 1'000.0 * one_deg, 0.35);  // 0.1 degree at 10 km
}

TEST(MovingStation, FarAwayItsPlacesErrorCountsForNothing) {
  std::vector<PooledBearing> bearings{towards_emitter(2, -10'000.0, 0.0, 1.0),
                                      towards_emitter(1, 0.0, -50'000.0, 1.0)};
  const CrossFix exact = cross_fix(bearings);
  bearings[1].station_moves = true;
  bearings[1].station_sigma_m = 30.0;
  const CrossFix fix = cross_fix(bearings);
  // (30 m over 50 km)^2 against (1 degree)^2: 0.12 %.
  EXPECT_NEAR(fix.covariance.ee_m2, exact.covariance.ee_m2, 0.002 * exact.covariance.ee_m2);
}

TEST(MovingStation, BearingsOfDifferentPlacesAreNotOne) {
  const std::vector<Bearing> bearings{of_vehicle(1, -3000.0, 0.0), of_vehicle(2, -2000.0, 0.0)};
  const auto pooled = pool(bearings, one_vehicle(1.0));
  ASSERT_EQ(pooled.size(), 2U);
  for (const PooledBearing& p : pooled) {
    EXPECT_NEAR(p.sigma_deg, std::hypot(1.0, 2.0), 1e-12);
    EXPECT_EQ(p.station_sigma_m, 5.0);
  }
}

TEST(MovingStation, TheSitesFloorDoesNotAverageAwayAlongAStreet) {
  std::vector<Bearing> bearings;
  for (std::uint64_t i = 0; i < 10; ++i) {
    bearings.push_back(of_vehicle(i + 1, -3000.0 + 4.0 * static_cast<double>(i), 0.0));
  }
  const auto pooled = pool(bearings, one_vehicle(1.5));
  ASSERT_EQ(pooled.size(), 10U);
  double information = 0.0;
  for (const PooledBearing& p : pooled) information += 1.0 / (p.sigma_deg * p.sigma_deg);
  // All ten together: the floor, and the noise over ten.
  EXPECT_NEAR(1.0 / information, 1.5 * 1.5 + 4.0 / 10.0, 1e-9);
  const auto groups = locate_transmission(bearings, one_vehicle(1.5));
  ASSERT_EQ(groups.size(), 1U);
  for (std::size_t i = 0; i < groups[0].pooled.size(); ++i) {
    EXPECT_NEAR(groups[0].pooled[i].sigma_deg, pooled[i].sigma_deg, 1e-12) << "as rays, too";
  }
}

TEST(MovingStation, PlacesOfOneStreetAreOnePlaceAndNoThreeThatAgree) {
  std::vector<Bearing> bearings;
  for (std::uint64_t i = 0; i < 5; ++i) {
    bearings.push_back(of_vehicle(i + 1, -300.0, 10.0 * static_cast<double>(i)));
  }
  const auto groups = locate_transmission(bearings, one_vehicle(0.5));
  ASSERT_EQ(groups.size(), 1U);
  EXPECT_EQ(groups[0].fix.refusal, Refusal::one_station);
}

TEST(MovingStation, DrivingRoundAStillEmitterItFindsItAlone) {
  const std::vector<Bearing> bearings{of_vehicle(1, -2000.0, 0.0), of_vehicle(2, -1500.0, -1500.0),
                                      of_vehicle(3, 0.0, -2000.0)};
  const auto groups = locate_transmission(bearings, one_vehicle(1.0));
  ASSERT_EQ(groups.size(), 1U);
  ASSERT_TRUE(groups[0].fix.accepted());
  EXPECT_LT(geodesy::distance_m(groups[0].fix.position, kEmitter), 0.01);  // azimuths are exact
}

}  // namespace
}  // namespace fixwright::locate
