/// Each reason for which no fix is made.

#include <gtest/gtest.h>

#include <vector>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/locate/cross_fix.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::locate {
namespace {

using world::exact_from;

std::vector<PooledBearing> two_at(double azimuth_west_deg, double azimuth_east_deg) {
  const GeoPoint west = geodesy::direct(world::kOrigin, 270.0, 15'000.0);
  const GeoPoint east = geodesy::direct(world::kOrigin, 90.0, 15'000.0);
  return {{1, west, azimuth_west_deg, 1.0, 1, {}}, {2, east, azimuth_east_deg, 1.0, 1, {}}};
}

TEST(Refusal, NothingAtAllIsOneStation) { EXPECT_EQ(cross_fix({}).refusal, Refusal::one_station); }

TEST(Refusal, BearingsOfOnePlaceAreOneStation) {
  std::vector<PooledBearing> bearings{{1, world::kQuillPoint, 10.0, 1.0, 1, {}}};
  EXPECT_EQ(cross_fix(bearings).refusal, Refusal::one_station);
  bearings.push_back({2, world::kQuillPoint, 40.0, 1.0, 1, {}});  // another station, same mast
  const CrossFix fix = cross_fix(bearings);
  EXPECT_EQ(fix.refusal, Refusal::one_station);
  EXPECT_EQ(fix.verdicts.size(), 2U);
}

TEST(Refusal, ParallelBearingsDoNotCross) {
  EXPECT_EQ(cross_fix(two_at(0.0, 0.0)).refusal, Refusal::no_crossing);
}

TEST(Refusal, DivergingBearingsDoNotCross) {
  EXPECT_EQ(cross_fix(two_at(330.0, 30.0)).refusal, Refusal::no_crossing);
}

TEST(Refusal, BearingsThatCrossBehindOneStationDoNotCross) {
  EXPECT_EQ(cross_fix(two_at(20.0, 45.0)).refusal, Refusal::no_crossing);
}

TEST(Refusal, BearingsTwoDegreesApartArePoorGeometry) {
  EXPECT_EQ(cross_fix(two_at(0.0, 358.0)).refusal, Refusal::poor_geometry);
}

TEST(Refusal, AnInconsistentTripleIsRefused) {
  auto bearings =
      exact_from({world::kLanternHead, world::kMossRidge, world::kQuillPoint}, world::kOrigin, 1.0);
  bearings[0].azimuth_deg = wrap_360(bearings[0].azimuth_deg + 25.0);
  EXPECT_EQ(cross_fix(bearings).refusal, Refusal::inconsistent);
}

TEST(Refusal, APlacePastTheLimitIsOutOfRange) {
  LocateRules rules;
  rules.max_range_m = 20'000.0;
  rules.accept_open_region = true;
  const auto bearings =
      exact_from({world::kLanternHead, world::kMossRidge, world::kQuillPoint}, world::kOrigin, 0.1);
  EXPECT_EQ(cross_fix(bearings, rules).refusal, Refusal::out_of_range);
}

TEST(Refusal, TwoHypothesesNearlyAsLikelyAreAmbiguous) {
  auto bearings = two_at(45.0, 315.0);
  bearings[1].alternatives = {{285.0, 0.9}};
  EXPECT_EQ(cross_fix(bearings).refusal, Refusal::ambiguous);
}

TEST(Refusal, ARegionThatReachesTheLimitIsUnboundedAndShown) {
  const auto bearings = two_at(3.0, 357.0);  // cross at 6 degrees, each good to 1
  LocateRules rules;
  rules.max_range_m = 500'000.0;
  const CrossFix fix = cross_fix(bearings, rules);
  EXPECT_EQ(fix.refusal, Refusal::unbounded);
  EXPECT_TRUE(fix.region_open);
  EXPECT_GT(fix.region.size(), 8U);
  rules.accept_open_region = true;
  EXPECT_TRUE(cross_fix(bearings, rules).accepted());
}

}  // namespace
}  // namespace fixwright::locate
