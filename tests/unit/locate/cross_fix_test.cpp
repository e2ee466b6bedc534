#include "server/locate/cross_fix.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "server/base/angle.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::locate {
namespace {

using world::exact;
using world::exact_from;

TEST(CrossFix, ExactBearingsMeetAtTheEmitter) {
  const CrossFix fix = cross_fix(exact_from(world::four_stations(), world::kOrigin, 1.0));
  ASSERT_TRUE(fix.accepted());
  EXPECT_EQ(fix.grade, FixGrade::checked);
  EXPECT_LT(geodesy::distance_m(fix.position, world::kOrigin), 1e-3);
  EXPECT_NEAR(fix.chi_square, 0.0, 1e-9);
  EXPECT_EQ(fix.degrees_of_freedom, 2);
  EXPECT_DOUBLE_EQ(fix.ellipse.probability, 0.95);
}

TEST(CrossFix, MirrorBearingsOnTheEquatorMeetAtMidLongitude) {
  const std::vector<PooledBearing> bearings{{1, {0.0, 20.0}, 45.0, 1.0, 1, {}},
                                            {2, {0.0, 21.0}, 315.0, 1.0, 1, {}}};
  const CrossFix fix = cross_fix(bearings);
  ASSERT_TRUE(fix.accepted());
  EXPECT_NEAR(fix.position.longitude_deg, 20.5, 1e-9);  // by symmetry: 0.1 mm
  EXPECT_NEAR(fix.covariance.en_m2, 0.0, 1e-3 * fix.covariance.ee_m2);
}

TEST(CrossFix, TwoStationsGiveAnUncheckedFix) {
  const CrossFix fix =
      cross_fix(exact_from({world::kLanternHead, world::kMossRidge}, world::kOrigin, 1.0));
  ASSERT_TRUE(fix.accepted());
  EXPECT_EQ(fix.grade, FixGrade::unchecked);
  EXPECT_EQ(fix.degrees_of_freedom, 0);
  EXPECT_EQ(fix.p_value, 1.0);
}

TEST(CrossFix, OrderOfTheBearingsPlaysNoPart) {
  std::mt19937_64 random(11);
  auto bearings = exact_from(world::four_stations(), world::kOrigin, 2.0);
  world::add_noise(bearings, random);
  const CrossFix first = cross_fix(bearings);
  std::reverse(bearings.begin(), bearings.end());
  const CrossFix second = cross_fix(bearings);
  EXPECT_EQ(first.position, second.position);  // bit for bit
  EXPECT_EQ(first.covariance, second.covariance);
  EXPECT_EQ(first.verdicts.front().residual_deg, second.verdicts.back().residual_deg);
}

TEST(CrossFix, ABearingFarOffIsSetAsideAndNamed) {
  const GeoPoint emitter{41.15, -150.30};
  auto bearings = exact_from(world::four_stations(), emitter, 1.0);
  bearings[2].azimuth_deg = wrap_360(bearings[2].azimuth_deg + 60.0);
  const CrossFix fix = cross_fix(bearings);
  ASSERT_TRUE(fix.accepted()) << to_string(fix.refusal);
  EXPECT_LT(geodesy::distance_m(fix.position, emitter), 1e-3);
  EXPECT_FALSE(fix.verdicts[2].used);
  EXPECT_LT(fix.verdicts[2].weight, 1e-6);
  EXPECT_NEAR(fix.verdicts[2].residual_deg, 60.0, 1e-6);
  EXPECT_TRUE(fix.verdicts[0].used && fix.verdicts[1].used && fix.verdicts[3].used);
  EXPECT_EQ(fix.degrees_of_freedom, 1);
}

TEST(CrossFix, ThreeOfFourThatCannotCheckOneAnotherAreInconsistent) {
  // At the origin MOSS-RIDGE and HARROW-HILL look at one another: LANTERN-HEAD alone would say
  // where on their line the emitter is, and would agree wherever it pointed.
  auto bearings = exact_from(world::four_stations(), world::kOrigin, 1.0);
  bearings[2].azimuth_deg = wrap_360(bearings[2].azimuth_deg + 60.0);
  EXPECT_EQ(cross_fix(bearings).refusal, Refusal::inconsistent);
}

TEST(CrossFix, AnAlternativeAzimuthIsBelievedWhereTheMainOneIsAReflection) {
  auto bearings = exact_from(world::four_stations(), world::kOrigin, 1.0);
  const double direct_deg = bearings[1].azimuth_deg;
  bearings[1].azimuth_deg = wrap_360(direct_deg + 70.0);
  bearings[1].alternatives = {{wrap_360(direct_deg - 120.0), 0.5}, {direct_deg, 0.4}};
  const CrossFix fix = cross_fix(bearings);
  ASSERT_TRUE(fix.accepted());
  EXPECT_TRUE(fix.verdicts[1].used);
  EXPECT_EQ(fix.verdicts[1].alternative, 1);
  EXPECT_NEAR(fix.verdicts[1].residual_deg, 0.0, 1e-6);
  EXPECT_EQ(fix.degrees_of_freedom, 2);  // a hypothesis is no bearing more
}

TEST(CrossFix, ResidualsPastTheirSigmasAreGradedOddAndTheRegionGrows) {
  std::vector<GeoPoint> places;
  for (int i = 0; i < 6; ++i) {
    places.push_back(geodesy::direct(world::kOrigin, 60.0 * i + 7.0, 20'000.0));
  }
  auto bearings = exact_from(places, world::kOrigin, 1.0);
  const CrossFix honest = cross_fix(bearings);
  for (std::size_t i = 0; i < bearings.size(); ++i) {  // each three sigmas off, by turns
    const double turn_deg = i % 2 == 0 ? 3.0 : -3.0;
    bearings[i].azimuth_deg = wrap_360(bearings[i].azimuth_deg + turn_deg);
  }
  const CrossFix fix = cross_fix(bearings);
  ASSERT_TRUE(fix.accepted()) << to_string(fix.refusal);
  EXPECT_EQ(fix.grade, FixGrade::odd);
  EXPECT_LT(fix.p_value, 0.005);
  EXPECT_EQ(fix.degrees_of_freedom, 4);  // none was set aside: it is the sigmas that are wrong
  const double growth = std::sqrt(fix.chi_square / fix.degrees_of_freedom);
  EXPECT_GT(growth, 2.5);
  EXPECT_NEAR(fix.ellipse.semi_major_m / honest.ellipse.semi_major_m, growth, 0.1 * growth);
}

TEST(CrossFix, AFlatFixCarriesAnEllipseAndABentOneItsRegion) {
  const std::vector<GeoPoint> pair{world::kLanternHead, world::kMossRidge};
  const CrossFix flat = cross_fix(exact_from(pair, world::kOrigin, 0.5));
  EXPECT_EQ(flat.region_kind, RegionKind::ellipse);
  EXPECT_TRUE(flat.region.empty());
  const CrossFix bent = cross_fix(exact_from(pair, world::kOrigin, 6.0));
  ASSERT_TRUE(bent.accepted());
  EXPECT_EQ(bent.region_kind, RegionKind::likelihood);
  ASSERT_GT(bent.region.size(), 8U);
  EXPECT_EQ(bent.region.front(), bent.region.back());
  for (const GeoPoint& vertex : bent.region) {  // the ellipse covers the region
    EXPECT_TRUE(geodesy::ellipse_holds(bent.position, bent.ellipse, vertex));
  }
}

TEST(CrossFix, WorksOverTheAntimeridianAndAtAPole) {
  for (const GeoPoint emitter : {GeoPoint{-17.0, -180.0}, GeoPoint{89.9, 45.0},
                                 GeoPoint{-90.0, 0.0}, GeoPoint{70.0, 179.999}}) {
    std::vector<GeoPoint> places;
    for (const double azimuth : {10.0, 130.0, 250.0}) {
      places.push_back(geodesy::direct(emitter, azimuth, 30'000.0));
    }
    const CrossFix fix = cross_fix(exact_from(places, emitter, 1.0));
    ASSERT_TRUE(fix.accepted()) << emitter.latitude_deg;
    EXPECT_LT(geodesy::distance_m(fix.position, emitter), 1e-3) << emitter.latitude_deg;
  }
}

}  // namespace
}  // namespace fixwright::locate
