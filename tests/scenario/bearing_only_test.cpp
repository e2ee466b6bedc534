/// What one station alone hears: a line, kept until a second station hears the emitter too.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "tests/support/scenario/feed.hpp"
#include "tests/support/scenario/map.hpp"

namespace fixwright::scenario {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

constexpr auto kIsland = R"(
  A . . . . . B
  . . 1 . . . .
  . . . . . . .
  . . . . 2 . .
  D . . . . . C
)";
constexpr StationId kA = 1;

/// Four transmissions of ten seconds, ten minutes apart.
const std::vector<OnTime> kFourTimes{{0, 10}, {600, 610}, {1200, 1210}, {1800, 1810}};

class BearingOnlyTest : public testing::Test {
 protected:
  [[nodiscard]] Tables play(const std::vector<Source>& sources,
                            const SimulationRules& rules) const {
    return run(map.stations, simulate(map.stations, sources, rules));
  }
  [[nodiscard]] Source one(std::vector<StationId> deaf, std::vector<OnTime> on = kFourTimes) const {
    return {.position = map.emitters.at('1'), .on = std::move(on), .deaf = std::move(deaf)};
  }
  [[nodiscard]] double azimuth_from_a() const {
    return geodesy::inverse(map.stations.at(kA).position, map.emitters.at('1')).azimuth1_deg;
  }

  const Map map = draw(kIsland, 6.0);
};

TEST_F(BearingOnlyTest, OneStationsTransmissionsMakeALineThatPointsAtTheEmitter) {
  const auto tables = play({one({2, 3, 4})}, {.seed = 7, .detection = 1.0});
  EXPECT_THAT(tables.emitters, IsEmpty());
  ASSERT_THAT(tables.bearing_only, SizeIs(1));
  const BearingOnly& line = tables.bearing_only.begin()->second;
  EXPECT_EQ(line.key.station, kA);
  EXPECT_EQ(line.state, BearingOnlyState::waiting);
  EXPECT_EQ(line.transmissions, tables.transmissions.size());
  EXPECT_EQ(line.bearings, 40U);
  EXPECT_EQ(line.station_position, map.stations.at(kA).position);
  // The simulated station has no bias: the mean of 40 bearings of 1 degree is known to 0.16; three
  // sigmas of it.
  EXPECT_NEAR(wrap_180(line.azimuth_deg - azimuth_from_a()), 0.0, 0.5);
  EXPECT_GE(line.sigma_deg, map.stations.at(kA).site_sigma_deg);
}

TEST_F(BearingOnlyTest, ItIsLocatedWhenOthersHearTheEmitterToo) {
  const auto tables =
      play({one({2, 3, 4}), one({}, {{2400, 2410}, {3000, 3010}})}, {.seed = 7, .detection = 1.0});
  const auto confirmed = tables.in_state(EmitterState::confirmed);
  ASSERT_THAT(confirmed, SizeIs(1));
  ASSERT_THAT(tables.bearing_only, SizeIs(1));
  const BearingOnly& line = tables.bearing_only.begin()->second;
  EXPECT_EQ(line.state, BearingOnlyState::located);
  EXPECT_EQ(line.emitter, confirmed.front().key);
}

TEST_F(BearingOnlyTest, AnEmitterElsewhereLeavesItWaiting) {
  const Source other{.position = map.emitters.at('2'), .on = {{2400, 2410}, {3000, 3010}}};
  const auto tables = play({one({2, 3, 4}), other}, {.seed = 7, .detection = 1.0});
  ASSERT_THAT(tables.in_state(EmitterState::confirmed), SizeIs(1));
  ASSERT_THAT(tables.bearing_only, SizeIs(1));
  EXPECT_EQ(tables.bearing_only.begin()->second.state, BearingOnlyState::waiting);
}

TEST_F(BearingOnlyTest, TwoThatOneStationHearsAreTwoLines) {
  const Source other{.position = map.emitters.at('2'),
                     .on = {{300, 310}, {900, 910}, {1500, 1510}},
                     .deaf = {2, 3, 4}};
  Source first = one({2, 3, 4});
  first.position = geodesy::direct(map.stations.at(kA).position, 160.0, 9e3);
  const auto tables = play({first, other}, {.seed = 7, .detection = 1.0});
  EXPECT_THAT(tables.bearing_only, SizeIs(2));
}

TEST_F(BearingOnlyTest, FalseBearingsAreNotTakenForOne) {
  // An hour with a false bearing in four of the looks, each from anywhere, and nobody there.
  const Source nobody{.position = map.emitters.at('1'), .on = {{0, 3600}}, .deaf = {1, 2, 3, 4}};
  const auto tables = play({nobody}, {.seed = 7, .clutter = 0.25});
  EXPECT_THAT(tables.bearing_only, IsEmpty());
}

TEST_F(BearingOnlyTest, UnheardForThirtyDaysItEnds) {
  app::Pipeline pipeline({}, map.stations);
  Tables tables;
  const auto arriving =
      arrivals(simulate(map.stations, {one({2, 3, 4})}, {.seed = 7, .detection = 1.0}), 0.3, 0, 1);
  const auto take = [&](TimePoint, const app::PipelineOutput& out) { tables.take(out); };
  feed(pipeline, map.stations, arriving, {.step_s = 5.0}, take);
  pipeline.tick(scenario_start() + std::chrono::hours(24 * 29));
  tables.take(pipeline.take());
  ASSERT_THAT(tables.bearing_only, SizeIs(1));
  EXPECT_EQ(tables.bearing_only.begin()->second.state, BearingOnlyState::waiting);
  pipeline.tick(scenario_start() + std::chrono::hours(24 * 31));
  tables.take(pipeline.take());
  EXPECT_EQ(tables.bearing_only.begin()->second.state, BearingOnlyState::ended);
}

TEST_F(BearingOnlyTest, TheOrderOfArrivalDoesNotMatter) {
  const auto bearings =
      simulate(map.stations, {one({2, 3, 4}), one({}, {{2400, 2410}, {3000, 3010}})},
               {.seed = 7, .detection = 1.0});
  const auto in_order = run({}, map.stations, arrivals(bearings, 0.3, 0.0, 1));
  const auto shuffled = run({}, map.stations, arrivals(bearings, 0.3, 20.0, 1));
  ASSERT_EQ(in_order.bearing_only.size(), shuffled.bearing_only.size());
  for (const auto& [key, line] : in_order.bearing_only) {
    BearingOnly same = shuffled.bearing_only.at(key);
    same.revision = line.revision;  // it may have taken more of them
    EXPECT_EQ(same, line);
  }
}

TEST_F(BearingOnlyTest, ItOutlivesAStop) {
  const auto bearings = simulate(map.stations, {one({2, 3, 4})}, {.seed = 7, .detection = 1.0});
  const auto arriving = arrivals(bearings, 0.3, 0.0, 1);
  const auto middle = scenario_start() + std::chrono::seconds(1500);
  std::map<ChannelId, ChannelMemory> memories;
  Tables tables;
  for (const bool first : {true, false}) {
    app::Pipeline pipeline({}, map.stations, first ? 1U : 1000U);
    for (const auto& [channel, memory] : memories) ASSERT_TRUE(pipeline.restore(memory));
    std::vector<Arrival> due;
    for (const Arrival& a : arriving) {
      if ((a.at < middle) == first) due.push_back(a);
    }
    const auto take = [&](TimePoint, const app::PipelineOutput& out) {
      tables.take(out);
      for (const ChannelMemory& m : out.memories) memories.insert_or_assign(m.channel, m);
    };
    feed(pipeline, map.stations, due, {.step_s = 1.0}, take);
    pipeline.tick(due.back().at + std::chrono::seconds(200));
    take({}, pipeline.take());
  }
  ASSERT_THAT(tables.bearing_only, SizeIs(1));
  EXPECT_EQ(tables.bearing_only.begin()->second.bearings, 40U);
}

}  // namespace
}  // namespace fixwright::scenario
