/// What a motion hypothesis leaves alone: gross bearings, and the place when it starts anew.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cstdio>

#include "server/geodesy/local_frame.hpp"
#include "server/track/lifecycle.hpp"
#include "server/track/motion_choice.hpp"
#include "server/track/motion_filter.hpp"
#include "server/track/smoothing_link.hpp"
#include "tests/support/scenario/simulator.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

constexpr MotionFilter::Motion kDriving{20.0, 0.5};

/// After so many seconds of exact bearings of all four stations to a vehicle going east.
MotionFilter driven(const Stations& stations, const SiteErrors& sites, int seconds) {
  MotionFilter f(kPlace, {1e5, 0.0, 1e5}, kNoon, kDriving);
  for (int t = 1; t <= seconds; ++t) {
    for (const auto& [id, s] : stations) {
      const Bearing b = bearing_to(s, geodesy::displace(kPlace, {15.0 * t, 0.0}), t);
      f.update(b, b.azimuth_deg, sites);
    }
  }
  return f;
}

void expect_same(const MotionState& a, const MotionState& b) {
  EXPECT_EQ(a.position, b.position);
  EXPECT_EQ(a.at, b.at);
  EXPECT_EQ(a.speed_m_per_s, b.speed_m_per_s);
  EXPECT_EQ(a.sites, b.sites);
  EXPECT_EQ(a.site_error_deg, b.site_error_deg);
  EXPECT_EQ(a.covariance, b.covariance);
}

TEST(MotionGate, OneGrossBearingChangesNothingButTheTime) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  MotionFilter f = driven(stations, sites, 30);
  MotionFilter spared = f;
  const Bearing gross = bearing_to(stations.at(1), kPlace, 31.0, 60.0);
  const double variance = f.predict(gross, sites).variance_deg2;
  const double paid = f.update(gross, gross.azimuth_deg, sites, nullptr, 3.0);
  spared.advance(gross.middle());
  expect_same(f.state(), spared.state());
  EXPECT_NEAR(paid, 9.0 + std::log(variance), 1e-6);  // predict() and update() round apart
}

TEST(MotionGate, OpensAtItsOwnSigmasAndNotBefore) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  const MotionFilter before = driven(stations, sites, 30);
  const Bearing b = bearing_to(stations.at(1), kPlace, 31.0);
  const Prediction p = before.predict(b, sites);
  const double sigma = std::sqrt(p.variance_deg2);
  MotionFilter inside = before;
  MotionFilter outside = before;
  const double paid = inside.update(b, wrap_360(p.azimuth_deg + 2.99 * sigma), sites, nullptr, 3.0);
  outside.update(b, wrap_360(p.azimuth_deg + 3.01 * sigma), sites, nullptr, 3.0);
  EXPECT_NEAR(paid, 2.99 * 2.99 + std::log(p.variance_deg2), 1e-3);
  EXPECT_LT(inside.position_sigma_m(), outside.position_sigma_m());
}

TEST(MotionGate, AGrossFirstBearingOfASiteLeavesThatSiteUnknown) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  MotionFilter f(kPlace, {1e4, 0.0, 1e4}, kNoon, kDriving);
  const MotionFilter before = f;
  const Bearing gross = bearing_to(stations.at(2), kPlace, 0.0, -90.0);
  f.update(gross, gross.azimuth_deg, sites, nullptr, 3.0);
  EXPECT_EQ(f.covariance(), before.covariance());
  const Bearing next = bearing_to(stations.at(2), kPlace);
  const double after = f.predict(next, sites).variance_deg2;
  EXPECT_NEAR(after, before.predict(next, sites).variance_deg2, 1e-12);
  EXPECT_NEAR(f.predict(next, sites).azimuth_deg, next.azimuth_deg, 1e-6);
}

TEST(MotionGate, TheSmootherDoesNotSeeAGrossBearingEither) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  const MotionFilter start = driven(stations, sites, 30);
  const auto smoothed = [&](bool gross) {
    MotionFilter f = start;
    SmoothingLink link(f.state());
    const Bearing bad = bearing_to(stations.at(1), kPlace, 31.0, 60.0);
    if (gross) f.update(bad, bad.azimuth_deg, sites, &link, 3.0);
    if (!gross) f.advance(bad.middle(), &link);
    const Bearing good = bearing_to(stations.at(2), kPlace, 32.0, 1.0);
    f.update(good, good.azimuth_deg, sites, &link, 3.0);
    return link.smoothed(start.state(), f.state());
  };
  expect_same(smoothed(true), smoothed(false));
}

TEST(MotionFilter, DepartingKeepsThePlaceAndTheSitesAndForgetsTheSpeed) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  const MotionFilter before = driven(stations, sites, 60);
  const MotionFilter f = before.departing({7.0, 0.2});
  const MotionState& old = before.state();
  const MotionState& s = f.state();
  EXPECT_EQ(s.position, old.position);
  EXPECT_EQ(s.at, old.at);
  EXPECT_EQ(f.covariance(), before.covariance());
  EXPECT_EQ(s.speed_m_per_s, (std::array<double, 2>{0.0, 0.0}));
  EXPECT_EQ(s.site_error_deg, old.site_error_deg);
  for (std::size_t i = 0; i < s.size(); ++i) {
    EXPECT_EQ(s.p(2, i), i == 2 ? 49.0 : 0.0);
    EXPECT_EQ(s.p(i, 3), i == 3 ? 49.0 : 0.0);
  }
  for (std::size_t i = MotionState::kMoving; i < s.size(); ++i) {
    EXPECT_EQ(s.p(0, i), old.p(0, i));
    EXPECT_EQ(s.p(i, i), old.p(i, i));
  }
  MotionFilter later = f;
  later.advance(s.at + std::chrono::seconds{10});
  // 49 (m/s)^2 over 10 s, and 0.2^2 10^3 / 3.
  EXPECT_NEAR(later.covariance().ee_m2 - old.p(0, 0), 4900.0 + 40.0 / 3.0, 1e-6);
}

TEST(MotionFilter, TheErrorOfAMovingStationsPlaceIsPartOfWhatItExpects) {
  const auto stations = four_stations(0.0);
  const SiteErrors sites(stations, 0.0);
  MotionFilter f(kPlace, {100.0, 0.0, 100.0}, kNoon, {});
  Bearing b = bearing_to(stations.at(1), kPlace);
  const double sharp = f.predict(b, sites).variance_deg2;
  b.station_moves = true;
  b.station_sigma_m = 500.0;
  const double place_deg = 500.0 / 20'000.0 * kRadToDeg;
  const double blurred = f.predict(b, sites).variance_deg2;
  EXPECT_NEAR(blurred - sharp, place_deg * place_deg, 1e-5);  // the range is a chord
  const Bearing off = bearing_to(stations.at(1), kPlace, 0.0, 2.0);
  b.azimuth_deg = off.azimuth_deg;
  EXPECT_NEAR(f.update(b, b.azimuth_deg, sites), surprise(2.0, blurred), 1e-6);
}

/// A still emitter heard for so long with noise, then gone east at 15 m/s.
struct Departure {
  double lowest = 0.0;  // log ratio while it stood
  double lag_s = -1.0;  // from the departure to the first alarm; < 0: none
  bool false_alarm = false;
};

Departure depart_after(int standing_s, std::uint64_t seed) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  const TrackRules rules;
  scenario::Dice dice(seed);
  EmitterRecord e = still_emitter(kPlace, 300.0);
  Changes changes;
  Departure d;
  for (int t = 0; t < standing_s + 300; ++t) {
    const GeoPoint at = geodesy::displace(kPlace, {15.0 * std::max(t - standing_s, 0), 0.0});
    std::vector<Bearing> bearings;
    std::vector<HeardBearing> heard;
    for (const auto& [id, s] : stations) {
      bearings.push_back(bearing_to(s, at, t, dice.normal()));
    }
    for (const Bearing& b : bearings) heard.push_back({&b, b.azimuth_deg});
    hear(e, heard, sites, rules, changes);
    choose_motion(e, bearings.front().start, rules, changes);
    d.lowest = std::min(d.lowest, e.moving_log_ratio);
    if (e.shown.motion == Motion::still) continue;
    d.false_alarm = t < standing_s;
    d.lag_s = t - standing_s;
    break;
  }
  return d;
}

/// E. S. Page, Biometrika 41 (1954) 100: once the evidence for rest is full, the departure is
/// expected to begin now, from where it rests and with a speed as unknown as at first.
TEST(Departure, IsExpectedAnewOnceTheEvidenceForRestIsFull) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  const TrackRules rules;
  EmitterRecord e = still_emitter(kPlace, 300.0);
  Changes changes;
  int restarts = 0;
  for (int t = 0; t < 400; ++t) {
    const Bearing b = bearing_to(stations.at(static_cast<StationId>(1 + t % 4)), kPlace, t);
    const HeardBearing heard{&b, b.azimuth_deg};
    hear(e, {&heard, 1}, sites, rules, changes);
    if (e.moving_log_ratio > -0.5 * rules.moving_log_ratio) continue;
    restarts += 1;
    const auto from = e.resting.departing({rules.speed_sigma_m_per_s, rules.straight_m_per_s2});
    expect_same(e.moving.state(), from.state());
  }
  EXPECT_GT(restarts, 0);
}

/// The evidence for rest is clamped: an hour of standing still weighs no more than minutes.
TEST(Departure, IsSeenAsSoonAfterAnHourAsAfterFiveMinutes) {
  double early_s = 0.0;
  double late_s = 0.0;
  constexpr int kSeeds = 4;
  for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
    const Departure early = depart_after(300, seed);
    const Departure late = depart_after(3600, seed);
    EXPECT_FALSE(early.false_alarm || late.false_alarm) << seed;
    ASSERT_TRUE(early.lag_s >= 0.0 && late.lag_s >= 0.0) << seed;
    // Clamped at half the decision: -6 nats.
    EXPECT_GE(early.lowest, -6.0) << seed;
    EXPECT_EQ(late.lowest, -6.0) << seed << ": an hour of standing still reaches the clamp";
    early_s += early.lag_s / kSeeds;
    late_s += late.lag_s / kSeeds;
  }
  std::printf("  departure seen after %.0f s (stood 5 min), %.0f s (stood an hour)\n", early_s,
              late_s);
  EXPECT_LE(late_s, early_s + 10.0);
  EXPECT_LE(late_s, 120.0);
}

TEST(Departure, StationsWithConstantErrorsAreNoDepartureAndADriveIs) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  const TrackRules rules;
  // Up to three sigmas of a site, in the pattern that pulls the place most: all turned one way.
  const auto play = [&](double east_m_per_s) {
    scenario::Dice dice(8);
    EmitterRecord e = still_emitter(kPlace, 300.0);
    Changes changes;
    for (int t = 0; t < 900 && e.shown.motion == Motion::still; ++t) {
      for (const auto& [id, s] : stations) {
        const double error = id % 2 == 0 ? 3.0 : -2.0;
        const GeoPoint at = geodesy::displace(kPlace, {east_m_per_s * t, 0.0});
        const Bearing b = bearing_to(s, at, t, error + dice.normal());
        const HeardBearing heard{&b, b.azimuth_deg};
        hear(e, {&heard, 1}, sites, rules, changes);
        choose_motion(e, b.start, rules, changes);
      }
    }
    return e.shown.motion;
  };
  EXPECT_EQ(play(0.0), Motion::still);
  EXPECT_EQ(play(10.0), Motion::moving);
}

}  // namespace
}  // namespace fixwright::track
