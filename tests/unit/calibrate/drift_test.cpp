#include "server/calibrate/drift.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <functional>
#include <random>

#include "server/base/angle.hpp"

namespace fixwright::calibrate {
namespace {

using std::chrono::hours;
using ::testing::HasSubstr;

TimePoint begin() { return *parse_rfc3339("2031-05-04T00:00:00Z"); }

/// How a station errs of an emitter in an hour, degrees.
using ErrorOf = std::function<double(int hour, int emitter)>;

/// `emitters` all round the station, the first due north, each heard every hour with 0.7 deg of
/// noise, its own site error of some degrees, and what `error` says.
std::vector<AzimuthHour> heard(int from_hour, int to_hour, int first, int emitters,
                               const ErrorOf& error, std::uint64_t seed = 1) {
  std::mt19937_64 random{seed};
  std::normal_distribution<double> noise{0.0, 0.7};
  std::vector<AzimuthHour> out;
  for (int hour = from_hour; hour < to_hour; ++hour) {
    for (int e = first; e < first + emitters; ++e) {
      const double azimuth = 71.0 * e + 2.5 * (e % 3) + noise(random) + error(hour, e);
      out.push_back({2, {12, e + 1}, begin() + hours{hour}, wrap_360(azimuth)});
    }
  }
  return out;
}

double none(int /*hour*/, int /*emitter*/) { return 0.0; }

/// `deg` off from an hour on.
ErrorOf off_from(int from, double deg) {
  return [=](int hour, int) { return hour >= from ? deg : 0.0; };
}

TEST(Drift, AStationThatStandsStillNeverDriftsInAYear) {
  for (const std::uint64_t seed : {1, 2, 3, 4, 5, 6}) {
    const auto verdict = drift(heard(0, 8760, 0, 8, none, seed), {});
    ASSERT_TRUE(verdict.has_value());
    EXPECT_FALSE(verdict->drifted) << verdict->evidence;
    EXPECT_NEAR(verdict->residual_deg, 0.0,
                0.5);  // errors of 8 baselines: 0.7 * 1.25^2 / sqrt(8 * 24)
  }
}

TEST(Drift, AMastThatTurnedByTwoDegreesIsFoundWithinTenHours) {
  const auto before = drift(heard(0, 72, 0, 8, off_from(72, 2.0)), {});
  ASSERT_TRUE(before.has_value());
  EXPECT_FALSE(before->drifted);
  const auto after = drift(heard(0, 82, 0, 8, off_from(72, 2.0)), {});
  ASSERT_TRUE(after.has_value());
  EXPECT_TRUE(after->drifted);
  EXPECT_EQ(after->station, 2);
  EXPECT_EQ(after->at, begin() + hours{81});
  EXPECT_EQ(after->emitters, 8u);
  EXPECT_NEAR(after->residual_deg, 2.0, 3.0 * after->sigma_deg);
  EXPECT_THAT(after->evidence, HasSubstr("8 still emitters"));
  EXPECT_THAT(after->evidence, HasSubstr("since 2031-05-0"));
}

TEST(Drift, ASlowTurnTheOtherWayThroughNorthIsFound) {
  const auto verdict =
      drift(heard(0, 24 * 20, 0, 8, [](int hour, int) { return -0.005 * hour; }), {});
  ASSERT_TRUE(verdict.has_value());
  EXPECT_TRUE(verdict->drifted);  // 2.4 degrees in 20 days
  EXPECT_LT(verdict->residual_deg, -1.5);
}

TEST(Drift, ADriftUnderHalfOfTheCommonSigmaIsNotFound) {
  const auto verdict = drift(heard(0, 1000, 0, 8, off_from(72, 0.15)), {});
  ASSERT_TRUE(verdict.has_value());
  EXPECT_FALSE(verdict->drifted);
}

TEST(Drift, AnEmitterThatMovedIsNoDrift) {
  const auto moved = [](int hour, int e) { return hour >= 72 && e == 3 ? 40.0 : 0.0; };
  const auto verdict = drift(heard(0, 240, 0, 8, moved), {});
  ASSERT_TRUE(verdict.has_value());
  EXPECT_FALSE(verdict->drifted) << verdict->evidence;
}

TEST(Drift, ItIsTakenBackWhenTheBearingsAgreeAgain) {
  const auto turned_back = [](int hour, int) { return hour >= 72 && hour < 100 ? -3.0 : 0.0; };
  EXPECT_TRUE(drift(heard(0, 100, 0, 8, turned_back), {})->drifted);
  const auto later = drift(heard(0, 130, 0, 8, turned_back), {});
  EXPECT_FALSE(later->drifted) << later->evidence;
  EXPECT_NEAR(later->residual_deg, 0.0, 0.5);
}

TEST(Drift, EmittersThatAppearAfterItDoNotHideIt) {
  auto all = heard(0, 400, 0, 4, off_from(72, 2.0));
  const auto newer = heard(100, 400, 50, 20, off_from(72, 2.0));
  all.insert(all.end(), newer.begin(), newer.end());
  const auto verdict = drift(all, {});
  EXPECT_TRUE(verdict->drifted);
  EXPECT_EQ(verdict->emitters, 4u);
}

TEST(Drift, TooFewEmittersOrHoursSayNothing) {
  EXPECT_FALSE(drift({}, {}).has_value());
  EXPECT_FALSE(drift(heard(0, 500, 0, 2, off_from(72, 9.0)), {}).has_value());
  EXPECT_FALSE(drift(heard(0, 24, 0, 8, none), {}).has_value());
}

}  // namespace
}  // namespace fixwright::calibrate
