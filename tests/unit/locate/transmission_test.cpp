#include <gtest/gtest.h>

#include <algorithm>

#include "server/locate/locate_transmission.hpp"
#include "server/locate/rays.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::locate {
namespace {

const GeoPoint kFirst{41.15, -150.30};
const GeoPoint kSecond{41.31, -150.21};

Bearing bearing(StationId station, double at_s, double azimuth_deg, double sigma_deg = 1.0) {
  static std::uint64_t sequence = 0;
  Bearing b;
  b.key = {station, 1, ++sequence};
  b.start = TimePoint{from_seconds(at_s)};
  b.azimuth_deg = wrap_360(azimuth_deg);
  b.sigma_deg = sigma_deg;
  b.station_position = world::four_stations()[static_cast<std::size_t>(station - 1)];
  return b;
}

Bearing towards(StationId station, double at_s, GeoPoint emitter) {
  Bearing b = bearing(station, at_s, 0.0);
  b.azimuth_deg = geodesy::inverse(b.station_position, emitter).azimuth1_deg;
  return b;
}

TEST(Rays, BearingsRoundNorthAreOneRay) {
  const std::vector<Bearing> bearings{bearing(1, 0, 359.0), bearing(1, 1, 1.0), bearing(1, 2, 0.5)};
  const auto rays = find_rays(bearings, {}, {});
  ASSERT_EQ(rays.size(), 1U);
  EXPECT_NEAR(wrap_180(rays[0].pooled.azimuth_deg), 1.0 / 6.0, 0.01);
}

TEST(Rays, TwoDirectionsAreTwoRays) {
  const std::vector<Bearing> bearings{bearing(1, 0, 40.0), bearing(1, 1, 70.0), bearing(1, 2, 41.0),
                                      bearing(1, 3, 69.0)};
  const auto rays = find_rays(bearings, {}, {});
  ASSERT_EQ(rays.size(), 2U);
  EXPECT_EQ(rays[0].bearings, (std::vector<std::size_t>{0, 2}));
  EXPECT_EQ(rays[1].bearings, (std::vector<std::size_t>{1, 3}));
  EXPECT_EQ(rays[0].place, rays[1].place);
}

TEST(Rays, BearingsOfOneInstantAreNeverOneEmitters) {
  const std::vector<Bearing> bearings{bearing(1, 0.25, 40.0), bearing(1, 0.25, 42.0),
                                      bearing(1, 1.25, 40.2)};
  const auto rays = find_rays(bearings, {}, {});
  ASSERT_EQ(rays.size(), 2U);
  EXPECT_EQ(rays[0].bearings, (std::vector<std::size_t>{0, 2}));
}

TEST(Rays, ALogCutToTheSecondDoesNotMakeTwoEmittersOfOne) {
  const std::vector<Bearing> bearings{bearing(1, 0, 40.0), bearing(1, 0, 41.5)};
  EXPECT_EQ(find_rays(bearings, {}, {}).size(), 1U);
}

TEST(Rays, ManyBearingsOfOneEmitterStayTogether) {
  std::mt19937_64 random(5);
  std::normal_distribution<double> noise(200.0, 1.0);
  std::vector<Bearing> bearings;
  for (int i = 0; i < 2000; ++i) {
    bearings.push_back(bearing(2, i, noise(random)));
  }
  const auto rays = find_rays(bearings, {}, {});
  const auto most = std::max_element(rays.begin(), rays.end(), [](const Ray& a, const Ray& b) {
    return a.pooled.count < b.pooled.count;
  });
  EXPECT_GE(most->pooled.count, 1990);
}

TEST(Rays, TwoBearingsOfOneEmitterAreRarelyTornApart) {
  std::mt19937_64 random(6);
  std::normal_distribution<double> noise(200.0, 1.0);
  int torn = 0;
  constexpr int kTrials = 10'000;
  for (int i = 0; i < kTrials; ++i) {
    const std::vector<Bearing> pair{bearing(1, 0, noise(random)), bearing(1, 1, noise(random))};
    torn += find_rays(pair, {}, {}).size() > 1 ? 1 : 0;
  }
  // Half way between two bearings d apart, smoothed by w, the density is below theirs when
  // 1 + u^4 > 2 u with u = exp(-d^2 / 8 w^2): from d = 2.208 w on. w is 2 sigma and the difference
  // has sqrt(2) sigma, so P(|z| > 3.123) = 0.179 %.
  EXPECT_NEAR(torn, 0.00179 * kTrials, 15);  // three and a half standard errors
}

TEST(LocateTransmission, TwoEmittersAtOnceAreTwoFixes) {
  std::vector<Bearing> bearings;
  for (StationId s = 1; s <= 4; ++s) {
    bearings.push_back(towards(s, 0.0, kFirst));
    bearings.push_back(towards(s, 0.0, kSecond));
  }
  const auto groups = locate_transmission(bearings, {});
  ASSERT_EQ(groups.size(), 2U);
  for (const GeoPoint emitter : {kFirst, kSecond}) {
    EXPECT_TRUE(std::any_of(groups.begin(), groups.end(), [&](const GroupFix& g) {
      return g.fix.accepted() && geodesy::distance_m(g.fix.position, emitter) < 1.0;
    }));
  }
  for (std::size_t i = 0; i < bearings.size(); ++i) {  // a bearing has one owner
    EXPECT_NE(groups[0].pooled_of[i] >= 0, groups[1].pooled_of[i] >= 0);
  }
}

TEST(LocateTransmission, OrderOfTheBearingsPlaysNoPart) {
  std::mt19937_64 random(8);
  std::normal_distribution<double> noise(0.0, 1.0);
  std::vector<Bearing> bearings;
  for (int k = 0; k < 3; ++k) {
    for (StationId s = 1; s <= 4; ++s) {
      for (const GeoPoint emitter : {kFirst, kSecond}) {
        bearings.push_back(towards(s, k, emitter));
        bearings.back().azimuth_deg = wrap_360(bearings.back().azimuth_deg + noise(random));
      }
    }
  }
  const auto first = locate_transmission(bearings, {});
  std::shuffle(bearings.begin(), bearings.end(), random);
  const auto second = locate_transmission(bearings, {});
  ASSERT_EQ(first.size(), second.size());
  for (std::size_t i = 0; i < first.size(); ++i) {
    EXPECT_EQ(first[i].fix.position, second[i].fix.position);  // bit for bit
    EXPECT_EQ(first[i].fix.covariance, second[i].fix.covariance);
  }
}

TEST(LocateTransmission, AReflectionSeenNowAndThenDoesNotMoveTheFix) {
  std::vector<Bearing> bearings;
  for (int k = 0; k < 6; ++k) {
    for (StationId s = 1; s <= 4; ++s) {
      bearings.push_back(towards(s, k, kFirst));
    }
  }
  for (int k = 0; k < 2; ++k) {  // of LANTERN-HEAD, two of eight
    Bearing reflected = towards(1, 6 + k, kFirst);
    reflected.azimuth_deg = wrap_360(reflected.azimuth_deg + 50.0);
    bearings.push_back(reflected);
  }
  const auto groups = locate_transmission(bearings, {});
  ASSERT_EQ(groups.size(), 1U);
  ASSERT_TRUE(groups[0].fix.accepted()) << to_string(groups[0].fix.refusal);
  EXPECT_LT(geodesy::distance_m(groups[0].fix.position, kFirst), 1e-3);
  EXPECT_EQ(groups[0].pooled_of.back(), -1);
  EXPECT_GE(groups[0].pooled_of.front(), 0);
}

}  // namespace
}  // namespace fixwright::locate
