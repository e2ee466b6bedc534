/// The server stops and starts: what it remembers of emitters is as good as having heard it all.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/support/scenario/feed.hpp"
#include "tests/support/scenario/map.hpp"

namespace fixwright::scenario {
namespace {

constexpr auto kIsland = R"(
  A . . . . . B
  . . 1 . . . .
  . . . . . . .
  . . . . 2 . .
  D . . . . . C
)";

constexpr double kDay_s = 86'400.0;

class Memory : public testing::Test {
 protected:
  /// One life of a server: bearings from..to, with what the one before remembered, and no history.
  Tables live(double from_s, double to_s) {
    app::Pipeline pipeline({}, map.stations);
    for (const auto& [channel, memory] : memories) EXPECT_TRUE(pipeline.restore(memory));
    std::vector<Arrival> due;
    for (const Arrival& a : arriving) {
      const double at_s = seconds(a.at - scenario_start());
      if (at_s >= from_s && at_s < to_s && !pipeline.remembers(a.bearing)) due.push_back(a);
    }
    Tables tables;
    const auto take = [&](const app::PipelineOutput& out) {
      tables.take(out);
      for (const ChannelMemory& m : out.memories) {
        m.state.empty() ? (void)memories.erase(m.channel)
                        : (void)memories.insert_or_assign(m.channel, m);
      }
    };
    feed(pipeline, map.stations, due, {.step_s = 5.0},
         [&](TimePoint, const app::PipelineOutput& out) { take(out); });
    for (double s = 0.0; s < 200.0; s += 5.0) {  // everything becomes final
      pipeline.tick(due.back().at + from_seconds(s));
      take(pipeline.take());
    }
    return tables;
  }

  const Map map = draw(kIsland, 6.0);
  const std::vector<Source> sources{
      {.position = map.emitters.at('1'),
       .channel = 1,
       .on = {{0.0, 60.0}, {200.0, 260.0}, {5.0 * kDay_s, 5.0 * kDay_s + 60.0}}},
      {.position = map.emitters.at('2'), .channel = 2, .on = {{0.0, 60.0}, {200.0, 260.0}}},
  };
  const std::vector<Arrival> arriving =
      arrivals(simulate(map.stations, sources, {.seed = 4}), 0.1, 0.0, 1);
  std::map<ChannelId, ChannelMemory> memories;
};

TEST_F(Memory, EmitterReturnsUnderItsOwnIdentityWithoutItsHistory) {
  const auto before = live(0.0, 400.0).in_state(EmitterState::confirmed);
  ASSERT_EQ(before.size(), 2U);
  ASSERT_EQ(memories.size(), 2U);
  const Tables after = live(5.0 * kDay_s, 6.0 * kDay_s);
  const auto found = after.in_state(EmitterState::confirmed);
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].key, before[0].key);
  EXPECT_EQ(found[0].first_heard, before[0].first_heard);
  EXPECT_GT(found[0].bearings, before[0].bearings);
  EXPECT_EQ(after.count(EmitterEventKind::returned), 1);
  EXPECT_EQ(after.count(EmitterEventKind::born), 0);
  const auto silent = after.in_state(EmitterState::silent);  // the other one is not forgotten
  ASSERT_EQ(silent.size(), 1U);
  EXPECT_EQ(silent[0].key, before[1].key);
}

TEST_F(Memory, GoesOnBitForBitAsIfItHadNeverStopped) {
  const Tables whole = live(0.0, 400.0);
  const auto remembered = memories;
  memories.clear();
  live(0.0, 190.0);
  const Tables second = live(190.0, 400.0);
  ASSERT_EQ(memories.size(), remembered.size());
  for (const auto& [channel, memory] : remembered) {
    EXPECT_EQ(memories.at(channel).through, memory.through);
    EXPECT_EQ(memories.at(channel).state, memory.state);
  }
  EXPECT_EQ(second.in_state(EmitterState::confirmed).size(),
            whole.in_state(EmitterState::confirmed).size());
}

TEST_F(Memory, BearingThatComesAfterItsPlaceWasRememberedIsLate) {
  live(0.0, 400.0);
  app::Pipeline pipeline({}, map.stations);
  ASSERT_TRUE(pipeline.restore(memories.at(1)));
  const Bearing& old = arriving.front().bearing;
  ASSERT_TRUE(pipeline.remembers(old));
  pipeline.bearing(old);
  EXPECT_THAT(pipeline.take().late, testing::SizeIs(1));
  EXPECT_FALSE(pipeline.remembers(arriving.back().bearing));
}

TEST_F(Memory, RetiredEmitterIsForgotten) {
  live(0.0, 400.0);
  app::Pipeline pipeline({}, map.stations);
  for (const auto& [channel, memory] : memories) ASSERT_TRUE(pipeline.restore(memory));
  pipeline.tick(scenario_start() + std::chrono::days{60});  // a confirmed one is kept for 30
  const auto out = pipeline.take();
  ASSERT_EQ(out.memories.size(), 2U);
  for (const ChannelMemory& m : out.memories) EXPECT_EQ(m.state, "");
  for (const Emitter& e : out.emitters) EXPECT_EQ(e.state, EmitterState::retired);
}

TEST_F(Memory, UnreadableOneIsRefusedAndTheChannelBeginsAnew) {
  live(0.0, 400.0);
  ChannelMemory memory = memories.at(1);
  memory.state.resize(memory.state.size() / 2);
  app::Pipeline pipeline({}, map.stations);
  const auto restored = pipeline.restore(memory);
  ASSERT_FALSE(restored);
  EXPECT_EQ(restored.error(), "it is damaged");
  EXPECT_FALSE(pipeline.remembers(arriving.front().bearing));
}

}  // namespace
}  // namespace fixwright::scenario
