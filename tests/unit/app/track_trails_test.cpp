#include "server/app/pipeline/track_trails.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "server/track/motion_filter.hpp"
#include "tests/support/scenario/simulator.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::app {
namespace {

using namespace track::testing;
using track::MotionFilter;
using track::SiteErrors;
using track::SmoothingLink;

constexpr EmitterKey kCar{5, 1};

/// East at 15 m/s from kPlace.
GeoPoint car_at(double t_s) { return geodesy::direct(kPlace, 90.0, 15.0 * t_s); }

/// A bearing a second of one station after the other, each a step of the track.
std::vector<TrackStep> driven(int seconds, std::uint64_t seed = 1) {
  const auto stations = four_stations(0.1);
  const SiteErrors sites(stations, 0.1);
  scenario::Dice dice(seed);
  MotionFilter f(kPlace, {1e4, 0.0, 1e4}, kNoon, {20.0, 0.5});
  std::optional<SmoothingLink> link;
  std::vector<TrackStep> steps;
  for (int t = 1; t <= seconds; ++t) {
    const Bearing b = bearing_to(stations.at(1 + t % 4), car_at(t), t, dice.normal());
    f.update(b, b.azimuth_deg, sites, link ? &*link : nullptr);
    steps.push_back({{kCar, f.at(), f.position(), f.covariance(), f.velocity()}, f.state(), link});
    link.emplace(f.state());
  }
  return steps;
}

std::vector<TrackPoint> all_of(const std::vector<TrackStep>& steps, bool ask_often = false) {
  TrackTrails trails;
  std::vector<TrackPoint> points;
  const auto ask = [&] {
    for (const TrackPoint& p : trails.take()) points.push_back(p);
  };
  for (const TrackStep& s : steps) {
    trails.add(s);
    if (ask_often) ask();
  }
  trails.finish();
  ask();
  return points;
}

double rms_error_m(const std::vector<TrackPoint>& points) {
  double sum = 0.0;
  for (const TrackPoint& p : points) {
    sum += std::pow(geodesy::distance_m(p.position, car_at(seconds(p.at - kNoon))), 2);
  }
  return std::sqrt(sum / static_cast<double>(points.size()));
}

TEST(TrackTrails, EveryPointComesOnceInItsOrder) {
  const auto steps = driven(500);
  const auto points = all_of(steps);
  ASSERT_EQ(points.size(), steps.size());
  for (std::size_t i = 0; i < points.size(); ++i) EXPECT_EQ(points[i].at, steps[i].point.at);
}

TEST(TrackTrails, TheLastPointHasNoFutureAndStaysAsItWas) {
  const auto steps = driven(90);
  const auto points = all_of(steps);
  EXPECT_LT(geodesy::distance_m(points.back().position, steps.back().point.position), 1e-6);
  EXPECT_NEAR(points.back().covariance.ee_m2, steps.back().point.covariance.ee_m2, 1e-6);
}

TEST(TrackTrails, APointIsWhatTheLinksUpToTheEndMakeOfIt) {
  const auto steps = driven(100);
  SmoothingLink to_end(steps[40].filtered);
  for (std::size_t i = 41; i < steps.size(); ++i) to_end = to_end.then(*steps[i].since_last);
  const MotionFilter expected(to_end.smoothed(steps[40].filtered, steps.back().filtered), 0.0);
  const TrackPoint point = all_of(steps)[40];
  EXPECT_LT(geodesy::distance_m(point.position, expected.position()), 1e-3);
  EXPECT_NEAR(point.covariance.ee_m2, expected.covariance().ee_m2, 1e-6 * point.covariance.ee_m2);
  EXPECT_LT(point.covariance.ee_m2, steps[40].point.covariance.ee_m2);
}

TEST(TrackTrails, WhatComesOutDoesNotDependOnWhenItIsAskedFor) {
  const auto steps = driven(500);
  const auto once = all_of(steps);
  const auto often = all_of(steps, true);
  ASSERT_EQ(once.size(), often.size());
  for (std::size_t i = 0; i < once.size(); ++i) {
    EXPECT_EQ(once[i].position, often[i].position);
    EXPECT_EQ(once[i].covariance, often[i].covariance);
  }
}

TEST(TrackTrails, TheTrackComesNearerToTheTruth) {
  std::vector<TrackPoint> filtered, smoothed;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const auto steps = driven(300, seed);
    for (const TrackStep& s : steps) filtered.push_back(s.point);
    for (const TrackPoint& p : all_of(steps)) smoothed.push_back(p);
  }
  // A smoother of a straight line that wanders as it may (0.5 m/s^2) about halves the error.
  EXPECT_LT(rms_error_m(smoothed), 0.75 * rms_error_m(filtered));
}

TEST(TrackTrails, APauseEndsATrail) {
  const auto steps = driven(10);
  TrackTrails trails;
  for (const TrackStep& s : steps) trails.add(s);
  const TimePoint due = steps.back().point.at + TrackTrails::kLag;
  EXPECT_EQ(trails.next_due(), due);
  trails.let_time_pass(due);
  EXPECT_TRUE(trails.take().empty());
  trails.let_time_pass(due + Duration{1});
  EXPECT_EQ(trails.take().size(), steps.size());
  EXPECT_EQ(trails.next_due(), TimePoint::max());
}

TEST(TrackTrails, ATrackThatBeginsAnewSaysNothingOfTheOneBefore) {
  auto steps = driven(20);
  const auto alone = all_of({steps.begin(), steps.begin() + 10});
  steps[10].since_last.reset();
  const auto both = all_of(steps);
  ASSERT_EQ(both.size(), steps.size());
  for (std::size_t i = 0; i < alone.size(); ++i) EXPECT_EQ(both[i].position, alone[i].position);
}

}  // namespace
}  // namespace fixwright::app
