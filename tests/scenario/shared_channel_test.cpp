#include <gtest/gtest.h>

#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "tests/support/scenario/feed.hpp"
#include "tests/support/scenario/map.hpp"

namespace fixwright::scenario {
namespace {

constexpr auto kIsland = R"(
  A . . . . . . . B
  . . . . . . . . .
  . . 1 . . . . . .
  . . . . . . . . .
  . . . . . . 2 . .
  . . . . . . . . .
  D . . . . . . . C
)";

std::size_t nearest_source(const Emitter& e, const std::vector<Source>& sources) {
  std::size_t best = 0;
  for (std::size_t i = 1; i < sources.size(); ++i) {
    if (geodesy::distance_m(e.fix.position, sources[i].position) <
        geodesy::distance_m(e.fix.position, sources[best].position)) {
      best = i;
    }
  }
  return best;
}

void expect_one_emitter_each(const Tables& tables, const std::vector<Source>& sources) {
  const auto confirmed = tables.in_state(EmitterState::confirmed);
  ASSERT_EQ(confirmed.size(), sources.size());
  std::vector<int> found(sources.size(), 0);
  for (const Emitter& e : confirmed) {
    const std::size_t s = nearest_source(e, sources);
    found[s] += 1;
    // 1 degree at 20 km is 350 m a bearing; some 200 bearings each.
    EXPECT_LT(geodesy::distance_m(e.fix.position, sources[s].position), 300.0);
  }
  for (const int times : found) EXPECT_EQ(times, 1);
}

TEST(SharedChannel, TwoThatTalkInTurnAreToldApart) {
  const Map map = draw(kIsland, 5.0);
  Source first{.position = map.emitters.at('1')};
  Source second{.position = map.emitters.at('2')};
  for (int turn = 0; turn < 6; ++turn) {
    first.on.push_back({turn * 40.0, turn * 40.0 + 10.0});
    second.on.push_back({turn * 40.0 + 20.0, turn * 40.0 + 30.0});
  }
  const std::vector<Source> sources{first, second};
  expect_one_emitter_each(run(map.stations, simulate(map.stations, sources, {})), sources);
}

TEST(SharedChannel, TwoThatTalkAtOnceAreToldApart) {
  const Map map = draw(kIsland, 5.0);
  const std::vector<Source> sources{{.position = map.emitters.at('1'), .on = {{0.0, 60.0}}},
                                    {.position = map.emitters.at('2'), .on = {{12.0, 60.0}}}};
  expect_one_emitter_each(run(map.stations, simulate(map.stations, sources, {})), sources);
}

TEST(SharedChannel, TwoWithFalseBearingsAmongThemMakeNoGhost) {
  const Map map = draw(kIsland, 5.0);
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    const std::vector<Source> sources{{.position = map.emitters.at('1'), .on = {{0.0, 120.0}}},
                                      {.position = map.emitters.at('2'), .on = {{30.0, 120.0}}}};
    const auto bearings = simulate(map.stations, sources, {.seed = seed, .clutter = 0.05});
    SCOPED_TRACE(seed);
    expect_one_emitter_each(run(map.stations, bearings), sources);
  }
}

/// One speaks for three hours before a second does, so near that the first's gate takes most of
/// what it sends.
std::vector<Source> neighbours(const Map& map, double apart_m) {
  Source first{.position = map.emitters.at('1')};
  Source second{.position = geodesy::displace(first.position, {0.6 * apart_m, 0.8 * apart_m})};
  for (int i = 0; i < 400; ++i) {
    first.on.push_back({i * 60.0, i * 60.0 + 0.5});
    if (i > 180) second.on.push_back({i * 60.0 + 30.0, i * 60.0 + 30.5});
  }
  return {first, second};
}

TEST(SharedChannel, OneThatTurnsOutToBeTwoNeighboursIsSplit) {
  const Map map = draw(kIsland, 5.0);
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    SCOPED_TRACE(seed);
    const auto sources = neighbours(map, 800.0);
    const auto bearings = simulate(map.stations, sources, {.seed = seed});
    const Tables tables = run(map.stations, bearings);
    EXPECT_EQ(tables.count(EmitterEventKind::split), 1);
    expect_one_emitter_each(tables, sources);
  }
}

TEST(SharedChannel, OneAloneIsNeverSplit) {
  const Map map = draw(kIsland, 5.0);
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    SCOPED_TRACE(seed);
    const Source source = neighbours(map, 0.0).front();
    const auto bearings = simulate(map.stations, {source},
                                   {.seed = seed,
                                    .clutter = 0.05,
                                    .station_noise_deg = {{2, 1.6}},
                                    .reflection_deg = {{3, 1.0}}});
    EXPECT_EQ(run(map.stations, bearings).count(EmitterEventKind::split), 0);
  }
}

}  // namespace
}  // namespace fixwright::scenario
