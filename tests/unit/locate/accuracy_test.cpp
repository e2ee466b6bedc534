/// The expected ellipse against closed forms of the Cramer-Rao bound.

#include "server/locate/accuracy.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"

namespace fixwright::locate {
namespace {

constexpr GeoPoint kPlace{41.2, -150.3};
constexpr double kSigma_deg = 1.0;
/// Chi-square at 95 %, 2 degrees of freedom (any table).
const double kFactor = std::sqrt(5.991);

Receiver at(double azimuth_deg, double range_m, double sigma_deg = kSigma_deg) {
  return {geodesy::direct(kPlace, azimuth_deg, range_m), sigma_deg, 10.0};
}

TEST(ExpectedFix, TwoStationsGiveTheClosedForm) {
  // Two of equal range r that cross at g: axes k r s / sqrt(1 -+ |cos g|) (D. J. Torrieri, IEEE
  // Trans. AES-20 (1984) 183, by its eqs. 92 to 97 for two equal bearings).
  constexpr double kRange_m = 20'000.0;
  for (const double crossing_deg : {90.0, 60.0, 30.0, 10.0}) {
    const std::vector<Receiver> two{at(0.0, kRange_m), at(crossing_deg, kRange_m)};
    const auto fix = expected_fix(kPlace, two, {});
    ASSERT_TRUE(fix) << crossing_deg;
    const double side_m = kRange_m * kSigma_deg * kDegToRad;
    const double cosine = std::abs(std::cos(crossing_deg * kDegToRad));
    // 1 %: the sphere that range and angle are on here is no ellipsoid.
    EXPECT_NEAR(fix->ellipse.semi_major_m, kFactor * side_m / std::sqrt(1.0 - cosine),
                0.01 * fix->ellipse.semi_major_m);
    EXPECT_NEAR(fix->ellipse.semi_minor_m, kFactor * side_m / std::sqrt(1.0 + cosine),
                0.01 * fix->ellipse.semi_minor_m);
    EXPECT_EQ(fix->stations, 2);
  }
}

TEST(ExpectedFix, TheLongAxisLiesBetweenTheStationsThatLookAlike) {
  const std::vector<Receiver> two{at(80.0, 20'000.0), at(110.0, 20'000.0)};
  EXPECT_NEAR(expected_fix(kPlace, two, {})->ellipse.orientation_deg, 95.0, 0.5);
}

TEST(ExpectedFix, ManyRoundItGiveACircle) {
  // n of equal range evenly round: information n / 2 on either axis, radius k r s sqrt(2 / n).
  constexpr int kStations = 8;
  std::vector<Receiver> ring;
  for (int i = 0; i < kStations; ++i) ring.push_back(at(360.0 * i / kStations, 15'000.0));
  const auto fix = expected_fix(kPlace, ring, {});
  ASSERT_TRUE(fix);
  const double radius_m = kFactor * 15'000.0 * kSigma_deg * kDegToRad * std::sqrt(2.0 / kStations);
  EXPECT_NEAR(fix->ellipse.semi_major_m, radius_m, 0.01 * radius_m);
  EXPECT_NEAR(fix->ellipse.semi_minor_m, radius_m, 0.01 * radius_m);
}

TEST(ExpectedFix, OneStationOrOneDirectionIsNoFix) {
  EXPECT_FALSE(expected_fix(kPlace, std::vector{at(0.0, 20'000.0)}, {}));
  EXPECT_FALSE(expected_fix(kPlace, std::vector{at(0.0, 20'000.0), at(0.0, 30'000.0)}, {}));
  EXPECT_FALSE(expected_fix(kPlace, std::vector{at(0.0, 20'000.0), at(180.0, 20'000.0)}, {}));
}

TEST(ExpectedFix, NobodyHearsBeyondItsRangeOrTheHorizon) {
  const std::vector<Receiver> two{at(0.0, 20'000.0), at(90.0, 60'000.0)};
  EXPECT_TRUE(expected_fix(kPlace, two, {}));
  EXPECT_FALSE(expected_fix(kPlace, two, {.range_m = 50'000.0}));
  // 10 m and 2 m: 4.12 (3.162 + 1.414) = 18.9 km.
  AccuracyRules low;
  low.transmitter_height_m = 2.0;
  EXPECT_FALSE(expected_fix(kPlace, two, low));
}

TEST(RadioHorizon, IsThatOfTheFourThirdsEarth) {
  // Rec. ITU-R P.310: k = 4/3; sqrt(2 k a h) with a = 6371 km and h = 100 m is 41.2 km.
  EXPECT_NEAR(radio_horizon_m(100.0, 0.0), 41.2e3, 50.0);
  EXPECT_NEAR(radio_horizon_m(100.0, 25.0), 41.2e3 + 20.6e3, 100.0);
}

TEST(BestCandidate, CrossesWhatIsSeenAlongOneLine) {
  // Two stations to the north see the place along nearly one line: one from the east crosses it.
  const std::vector<Receiver> receivers{at(0.0, 20'000.0), at(5.0, 25'000.0)};
  const std::vector<Receiver> candidates{at(2.0, 20'000.0), at(90.0, 20'000.0),
                                         at(180.0, 20'000.0)};
  const std::vector<GeoPoint> places{kPlace};
  EXPECT_EQ(best_candidate(candidates, places, receivers, {}), 1U);
  EXPECT_FALSE(best_candidate({}, places, receivers, {}));
}

}  // namespace
}  // namespace fixwright::locate
