#include <gtest/gtest.h>

#include "server/geodesy/geodesic.hpp"
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
