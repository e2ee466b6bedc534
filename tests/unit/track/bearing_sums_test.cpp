#include "server/track/bearing_sums.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

TEST(BearingSums, ManyBearingsOfAStationNeverPassItsFloor) {
  const auto stations = four_stations(1.0);
  const SiteErrors sites(stations, 1.0);
  BearingSums sums;
  for (int i = 0; i < 10'000; ++i) {
    const Bearing b = bearing_to(stations.at(1), kPlace, i, 0.0, 2.0);
    sums.add(b, b.azimuth_deg, sites);
  }
  const auto pooled = sums.pooled(sites);
  ASSERT_EQ(pooled.size(), 1U);
  EXPECT_EQ(pooled[0].count, 10'000);
  // sqrt(1^2 + 2^2 / 10 000)
  EXPECT_NEAR(pooled[0].sigma_deg, 1.0002, 1e-6);
}

TEST(BearingSums, TheMeanOfBearingsAcrossNorthIsNorth) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  BearingSums sums;
  Bearing b = bearing_to(stations.at(3), kPlace);
  for (const double azimuth : {359.0, 1.0, 358.0, 2.0}) sums.add(b, azimuth, sites);
  EXPECT_NEAR(wrap_180(sums.pooled(sites)[0].azimuth_deg), 0.0, 1e-12);
}

TEST(BearingSums, ASharperBearingWeighsMore) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  BearingSums sums;
  Bearing b = bearing_to(stations.at(1), kPlace, 0.0, 0.0, 1.0);
  sums.add(b, 100.0, sites);
  b.sigma_deg = 2.0;
  sums.add(b, 105.0, sites);
  EXPECT_NEAR(sums.pooled(sites)[0].azimuth_deg, 101.0, 1e-9);  // weights 1 and 1/4
}

TEST(BearingSums, TheStationsBiasIsTakenOff) {
  auto stations = four_stations();
  stations[1].bias_deg = 3.0;
  const SiteErrors sites(stations, 1.0);
  BearingSums sums;
  sums.add(bearing_to(stations.at(1), kPlace), 2.0, sites);
  EXPECT_NEAR(sums.pooled(sites)[0].azimuth_deg, 359.0, 1e-12);
}

TEST(BearingSums, SumsOfTwoPartsAreTheSumsOfAll) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  BearingSums all;
  BearingSums first;
  BearingSums second;
  for (int i = 0; i < 20; ++i) {
    const Bearing b = bearing_to(stations.at(1 + i % 3), kPlace, i, (i % 5) - 2.0);
    all.add(b, b.azimuth_deg, sites);
    (i < 8 ? first : second).add(b, b.azimuth_deg, sites);
  }
  first.add(second);
  const auto a = first.pooled(sites);
  const auto b = all.pooled(sites);
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t i = 0; i < a.size(); ++i) {
    EXPECT_EQ(a[i].station, b[i].station);
    EXPECT_EQ(a[i].count, b[i].count);
    EXPECT_NEAR(a[i].azimuth_deg, b[i].azimuth_deg, 1e-9);  // another order of sums
    EXPECT_NEAR(a[i].sigma_deg, b[i].sigma_deg, 1e-12);
  }
}

TEST(BearingSums, AMovingStationsPlacesAreKeptApartAndBounded) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  BearingSums sums;
  Bearing b = bearing_to(stations.at(1), kPlace);
  for (int i = 0; i < 500; ++i) {
    b.station_position.latitude_deg += 0.001;
    sums.add(b, b.azimuth_deg, sites);
  }
  EXPECT_EQ(sums.pooled(sites).size(), 64U);
  EXPECT_THAT(sums.stations(), ::testing::ElementsAre(1));
}

TEST(BearingSums, OfAnUnconfiguredStationTheSigmaIsTheWholeErrorOfOne) {
  const Stations none;
  const SiteErrors sites(none, 1.0);
  BearingSums sums;
  const Bearing b = bearing_to(four_stations().at(1), kPlace, 0.0, 0.0, 2.0);
  sums.add(b, b.azimuth_deg, sites);
  EXPECT_NEAR(sums.pooled(sites)[0].sigma_deg, 2.0, 1e-12);
  for (int i = 0; i < 99'999; ++i) sums.add(b, b.azimuth_deg, sites);
  EXPECT_NEAR(sums.pooled(sites)[0].sigma_deg, 1.0, 1e-4);  // sqrt(1 + 3 / 100 000)
}

TEST(BearingSums, MovedTheMeansTurnAndCountForLess) {
  const Stations stations = four_stations(0.0);
  const SiteErrors sites(stations, 1.0);
  BearingSums sums;
  for (int i = 0; i < 10; ++i) {
    const Bearing b = bearing_to(stations.at(1), kPlace, i);
    sums.add(b, b.azimuth_deg, sites);
  }
  EXPECT_NEAR(*sums.mean_deg(1), 180.0, 1e-9);
  EXPECT_FALSE(sums.mean_deg(2));
  const auto moved = sums.moved(0.1, [](StationId, GeoPoint) { return 190.0; });
  EXPECT_NEAR(*moved.mean_deg(1), 10.0, 1e-9);
  // Ten of a degree; a tenth of them is one.
  EXPECT_NEAR(sums.pooled(sites)[0].sigma_deg, std::sqrt(0.1), 1e-9);
  EXPECT_NEAR(moved.pooled(sites)[0].sigma_deg, 1.0, 1e-9);
}

}  // namespace
}  // namespace fixwright::track
