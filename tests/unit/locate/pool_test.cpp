#include "server/locate/pool.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "server/locate/locate_transmission.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::locate {
namespace {

Bearing bearing(StationId station, std::uint64_t sequence, double azimuth_deg, double sigma_deg) {
  Bearing b;
  b.key = {station, 1, sequence};
  b.azimuth_deg = azimuth_deg;
  b.sigma_deg = sigma_deg;
  b.station_position = world::kLanternHead;
  return b;
}

Stations one_station(double site_sigma_deg, double bias_deg = 0.0) {
  return {{1, {1, "LANTERN-HEAD", world::kLanternHead, 10.0, site_sigma_deg, bias_deg}}};
}

TEST(Pool, MeanOfBearingsAroundNorthIsNorth) {
  const std::vector<Bearing> bearings{bearing(1, 1, 359.0, 2.0), bearing(1, 2, 1.0, 2.0)};
  const auto pooled = pool(bearings, one_station(0.0));
  ASSERT_EQ(pooled.size(), 1U);
  EXPECT_NEAR(wrap_180(pooled[0].azimuth_deg), 0.0, 1e-9);
  EXPECT_NEAR(pooled[0].sigma_deg, std::sqrt(2.0), 1e-12);
  EXPECT_EQ(pooled[0].count, 2);
}

TEST(Pool, TheSitesFloorDoesNotAverageAway) {
  std::vector<Bearing> bearings;
  for (std::uint64_t i = 0; i < 10'000; ++i) {
    bearings.push_back(bearing(1, i, 40.0, 3.0));
  }
  EXPECT_NEAR(pool(bearings, one_station(1.2))[0].sigma_deg, std::hypot(1.2, 0.03), 1e-9);
}

TEST(Pool, AnUnknownStationsSigmaIsTheWholeErrorOfOneBearing) {
  LocateRules rules;
  rules.default_site_sigma_deg = 1.0;
  std::vector<Bearing> bearings{bearing(7, 1, 40.0, 2.0)};
  EXPECT_NEAR(pool(bearings, {}, rules)[0].sigma_deg, 2.0, 1e-12);
  for (std::uint64_t i = 2; i <= 4; ++i) {
    bearings.push_back(bearing(7, i, 40.0, 2.0));
  }
  // 1 of the 4 deg^2 is the site's; the other 3 are shared by four bearings.
  EXPECT_NEAR(pool(bearings, {}, rules)[0].sigma_deg, std::sqrt(1.0 + 3.0 / 4.0), 1e-12);
}

TEST(Pool, SharperBearingsWeighMore) {
  const std::vector<Bearing> bearings{bearing(1, 1, 10.0, 1.0), bearing(1, 2, 20.0, 3.0)};
  // Weights 1 and 1/9 put the mean at 11; the circle bends it by 1e-3.
  EXPECT_NEAR(pool(bearings, one_station(0.0))[0].azimuth_deg, 11.0, 0.02);
}

TEST(Pool, BiasIsSubtracted) {
  const std::vector<Bearing> bearings{bearing(1, 1, 1.0, 1.0)};
  EXPECT_NEAR(pool(bearings, one_station(1.0, 3.0))[0].azimuth_deg, 358.0, 1e-9);
}

TEST(Pool, AMovingStationPoolsPlaceByPlace) {
  std::vector<Bearing> bearings{bearing(1, 1, 10.0, 1.0), bearing(1, 2, 11.0, 1.0)};
  bearings[1].station_position = world::kQuillPoint;
  EXPECT_EQ(pool(bearings, one_station(1.0)).size(), 2U);
}

TEST(Pool, AnAlternativeThatFewBearingsShowWeighsLittle) {
  std::vector<Bearing> bearings;
  for (std::uint64_t i = 0; i < 10; ++i) {
    bearings.push_back(bearing(1, i, 40.0, 2.0));
  }
  bearings[0].alternatives = {{100.0, 0.8}};
  bearings[1].alternatives = {{200.0, 0.5}};
  bearings[2].alternatives = {{201.0, 0.5}};
  const auto pooled = pool(bearings, one_station(1.0));
  ASSERT_EQ(pooled[0].alternatives.size(), 2U);
  EXPECT_NEAR(pooled[0].alternatives[0].azimuth_deg, 200.5, 1e-9);
  EXPECT_NEAR(pooled[0].alternatives[0].weight, 0.1, 1e-12);
  EXPECT_NEAR(pooled[0].alternatives[1].weight, 0.08, 1e-12);
}

TEST(LocateTransmission, SaysWhichPooledBearingEachBearingBelongsTo) {
  std::vector<Bearing> bearings;
  const auto places = world::four_stations();
  for (std::uint64_t i = 0; i < 8; ++i) {
    const auto station = static_cast<StationId>(4 - i % 4);
    Bearing b = bearing(station, i, 0.0, 1.0);
    b.station_position = places[static_cast<std::size_t>(station - 1)];
    b.azimuth_deg = geodesy::inverse(b.station_position, world::kOrigin).azimuth1_deg;
    bearings.push_back(b);
  }
  const auto groups = locate_transmission(bearings, {});
  ASSERT_EQ(groups.size(), 1U);
  ASSERT_TRUE(groups[0].fix.accepted());
  ASSERT_EQ(groups[0].pooled_of.size(), bearings.size());
  for (std::size_t i = 0; i < bearings.size(); ++i) {
    const auto p = static_cast<std::size_t>(groups[0].pooled_of[i]);
    EXPECT_EQ(groups[0].pooled[p].station, bearings[i].key.station);
  }
}

TEST(LocateTransmission, NothingGivesOneRefusal) {
  const auto groups = locate_transmission({}, {});
  ASSERT_EQ(groups.size(), 1U);
  EXPECT_EQ(groups[0].fix.refusal, Refusal::one_station);
}

}  // namespace
}  // namespace fixwright::locate
