#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "tests/support/scenario/feed.hpp"
#include "tests/support/scenario/map.hpp"

namespace fixwright::scenario {
namespace {

constexpr auto kIsland = R"(
  A . . . . . . . B
  . . . . . . . . .
  . 1 . . . . . . .
  . . . . . . . . .
  . . . . . . . . .
  D . . . . . . . C
)";

double seconds_in(TimePoint t) { return seconds(t - scenario_start()); }

TEST(MovingEmitter, IsOneEmitterWithATrack) {
  const Map map = draw(kIsland, 5.0);
  const Source car{.position = map.emitters.at('1'), .on = {{0.0, 600.0}}, .east_m_per_s = 20.0};
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    SCOPED_TRACE(seed);
    const Tables tables = run(map.stations, simulate(map.stations, {car}, {.seed = seed}));
    const auto confirmed = tables.in_state(EmitterState::confirmed);
    ASSERT_EQ(confirmed.size(), 1U);
    EXPECT_EQ(tables.emitters.size(), 1U);
    const Emitter& e = confirmed.front();
    EXPECT_EQ(e.motion, Motion::moving);
    ASSERT_TRUE(e.velocity.has_value());
    EXPECT_NEAR(e.velocity->speed_m_per_s, 20.0, 4.0 * e.velocity->speed_sigma_m_per_s);
    EXPECT_GT(tables.track_points.size(), 80U);  // one a transmission of 5 s
    for (const auto& [key, point] : tables.track_points) {
      const GeoPoint truth = car.at(seconds_in(point.at));
      // The filter's own error is some 150 m; five times that would be a lost track.
      EXPECT_LT(geodesy::distance_m(point.position, truth), 750.0);
    }
  }
}

/// How far points are from the car, rms, m; and from it in their own sigmas, mean square.
struct Off {
  double rms_m = 0.0;
  double mean_square_sigmas = 0.0;
};

template <typename Points>
Off off(const Points& points, const Source& car) {
  Off o;
  for (const auto& [key, p] : points) {
    const GeoPoint truth = car.at(seconds_in(p.at));
    o.rms_m += std::pow(geodesy::distance_m(p.position, truth), 2);
    o.mean_square_sigmas +=
        geodesy::mahalanobis_squared(p.covariance, geodesy::offset(p.position, truth));
  }
  const auto count = static_cast<double>(points.size());
  return {std::sqrt(o.rms_m / count), o.mean_square_sigmas / count};
}

TEST(MovingEmitter, ItsTrackIsToldAgainByWhatCameAfter) {
  const Map map = draw(kIsland, 5.0);
  const Source car{.position = map.emitters.at('1'), .on = {{0.0, 600.0}}, .east_m_per_s = 20.0};
  std::map<std::pair<std::uint64_t, TimePoint>, TrackPoint> first, last;
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    const auto bearings = simulate(map.stations, {car}, {.seed = seed});
    app::Pipeline pipeline({}, map.stations);
    const auto keep = [&](TimePoint, const app::PipelineOutput& out) {
      for (const TrackPoint& p : out.track_points) {
        first.try_emplace({seed, p.at}, p);
        last.insert_or_assign({seed, p.at}, p);
      }
    };
    feed(pipeline, map.stations, arrivals(bearings, 0.3, 0.0, 1), {}, keep);
    pipeline.finish();
    keep({}, pipeline.take());
  }
  ASSERT_EQ(first.size(), last.size());
  // By a Rauch-Tung-Striebel smoother over some minutes the error of a steady drive about halves.
  EXPECT_LT(off(last, car).rms_m, 0.75 * off(first, car).rms_m);
  // Two degrees of freedom: 2 where the sigmas are right. Ten drives, each of points that lean on
  // each other, are ten draws of it: half as much again. It is less here, as each site is given an
  // error that these have not.
  EXPECT_LT(off(last, car).mean_square_sigmas, 3.0);
}

TEST(MovingEmitter, LateBearingsLeaveNoPointBehindWhereTheCarWasNot) {
  const Map map = draw(kIsland, 5.0);
  const Source car{.position = map.emitters.at('1'), .on = {{0.0, 300.0}}, .east_m_per_s = 20.0};
  const auto bearings = simulate(map.stations, {car}, {.seed = 3});
  auto arriving = arrivals(bearings, 0.3, 0.0, 1);
  const Tables soon = run({}, map.stations, arriving);
  // Station 2 tells of everything 20 s late, past the watermark, so that what was shown is revised.
  for (Arrival& a : arriving) {
    if (a.bearing.key.station == 2) a.at += std::chrono::seconds(20);
  }
  std::stable_sort(arriving.begin(), arriving.end(),
                   [](const Arrival& a, const Arrival& b) { return a.at < b.at; });
  int withdrawn = 0;
  app::Pipeline pipeline({}, map.stations);
  Tables late;
  const auto take = [&](TimePoint, const app::PipelineOutput& out) {
    for (const TrackPoint& p : out.track_points) withdrawn += p.withdrawn ? 1 : 0;
    late.take(out);
  };
  feed(pipeline, map.stations, arriving, {}, take);
  pipeline.finish();
  take({}, pipeline.take());
  EXPECT_GT(withdrawn, 0);
  ASSERT_EQ(soon.track_points.size(), late.track_points.size());
  for (const auto& [key, point] : soon.track_points) EXPECT_TRUE(late.track_points.contains(key));
}

TEST(MovingEmitter, WhatIsFinalOfATrackDoesNotDependOnTheOrderOfArrival) {
  const Map map = draw(kIsland, 5.0);
  const Source car{
      .position = map.emitters.at('1'), .on = {{0.0, 200.0}, {400.0, 600.0}}, .east_m_per_s = 20.0};
  const auto bearings = simulate(map.stations, {car}, {.seed = 3});
  const Tables soon = run({}, map.stations, arrivals(bearings, 0.3, 0.0, 1));
  const Tables late =
      run({}, map.stations, arrivals(bearings, 0.3, 30.0, 2), {.heartbeat_delay_s = 31.0});
  ASSERT_GT(soon.track_points.size(), 40U);
  ASSERT_EQ(soon.track_points.size(), late.track_points.size());
  for (const auto& [key, point] : soon.track_points) {
    const auto other = late.track_points.find(key);
    ASSERT_NE(other, late.track_points.end());
    EXPECT_EQ(point.position, other->second.position);
    EXPECT_EQ(point.covariance, other->second.covariance);
  }
}

TEST(MovingEmitter, ThatParksBecomesAStillOneAtItsNewPlace) {
  const Map map = draw(kIsland, 5.0);
  Source driving{.position = map.emitters.at('1'), .on = {{0.0, 200.0}}, .east_m_per_s = 25.0};
  Source parked{.position = driving.at(200.0), .on = {{200.0, 600.0}}};
  const Tables tables = run(map.stations, simulate(map.stations, {driving, parked}, {}));
  const auto confirmed = tables.in_state(EmitterState::confirmed);
  ASSERT_EQ(confirmed.size(), 1U);
  EXPECT_EQ(confirmed.front().motion, Motion::still);
  EXPECT_EQ(tables.count(EmitterEventKind::moved), 2);
  EXPECT_LT(geodesy::distance_m(confirmed.front().fix.position, parked.position), 300.0);
}

TEST(MovingEmitter, AStillOneIsNotTakenForMoving) {
  const Map map = draw(kIsland, 5.0);
  const Source still{.position = map.emitters.at('1'), .on = {{0.0, 1800.0}}};
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const Tables tables = run(map.stations, simulate(map.stations, {still}, {.seed = seed}));
    EXPECT_EQ(tables.count(EmitterEventKind::moved), 0);
    EXPECT_EQ(tables.emitters.size(), 1U);
  }
}

}  // namespace
}  // namespace fixwright::scenario
