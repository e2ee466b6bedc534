/// What is remembered comes back whole, or is refused in a few words.

#include "server/track/memory.hpp"

#include <gtest/gtest.h>

namespace fixwright::track {
namespace {

ChannelTracks some_tracks() {
  ChannelTracks tracks;
  tracks.emitters.resize(2);
  EmitterRecord& e = tracks.emitters[1];
  e.shown.key = {1, 1'893'456'000'000'000'123};
  e.shown.state = EmitterState::silent;
  e.shown.velocity = Velocity{1.5, 359.0, 0.25};
  e.shown.fix.region = {{41.0, -150.0}, {41.1, -150.0}, {41.0, -150.0}};
  e.shown.stations = {1, 7};
  e.moving_log_ratio = -0.1;
  e.place_since = TimePoint{Duration{-5}};
  e.surely.longest_pause = std::chrono::hours{30};
  e.distinct_from = {{1, 5}};
  e.resting = MotionFilter({41.2, -150.3}, {400.0, -10.0, 900.0}, TimePoint{Duration{77}}, {});
  return tracks;
}

TEST(Memory, ComesBackAsItWas) {
  const std::string bytes = write_memory(some_tracks());
  const auto read = read_memory(bytes);
  ASSERT_TRUE(read) << read.error();
  ASSERT_EQ(read->emitters.size(), 2U);
  const EmitterRecord& e = read->emitters[1];
  EXPECT_EQ(e.shown.key.id, 1'893'456'000'000'000'123);
  EXPECT_EQ(e.shown.state, EmitterState::silent);
  ASSERT_TRUE(e.shown.velocity);
  EXPECT_EQ(e.shown.velocity->course_deg, 359.0);
  EXPECT_FALSE(read->emitters[0].shown.velocity);
  EXPECT_EQ(e.shown.fix.region.size(), 3U);
  EXPECT_EQ(e.shown.stations, (std::vector<StationId>{1, 7}));
  EXPECT_EQ(e.moving_log_ratio, -0.1);
  EXPECT_EQ(e.place_since, TimePoint{Duration{-5}});
  EXPECT_EQ(e.surely.longest_pause, std::chrono::hours{30});
  EXPECT_EQ(e.distinct_from, (std::vector<EmitterKey>{{1, 5}}));
  EXPECT_EQ(e.resting.position(), (GeoPoint{41.2, -150.3}));
  EXPECT_EQ(e.resting.covariance(), (EnCovariance{400.0, -10.0, 900.0}));
  EXPECT_EQ(e.resting.at(), TimePoint{Duration{77}});
  EXPECT_EQ(write_memory(*read), bytes);  // and not a bit of it differs
}

TEST(Memory, SizeDoesNotGrowBeyondAFewKilobytesAnEmitter) {
  EXPECT_LT(write_memory(some_tracks()).size(), 2U * 6000U);
}

TEST(Memory, DamageIsSeenWhereverItIs) {
  const std::string whole = write_memory(some_tracks());
  for (std::size_t i = 16; i < whole.size(); i += 97) {
    std::string bytes = whole;
    bytes[i] = static_cast<char>(bytes[i] ^ 1);
    const auto read = read_memory(bytes);
    ASSERT_FALSE(read) << "byte " << i;
    EXPECT_EQ(read.error(), "it is damaged");
  }
  for (const std::size_t size : {std::size_t{0}, std::size_t{15}}) {
    EXPECT_EQ(read_memory(whole.substr(0, size)).error(), "it is cut off");
  }
  EXPECT_EQ(read_memory(whole.substr(0, whole.size() - 8)).error(), "it is damaged");
}

TEST(Memory, WhatAnotherVersionWroteIsRefused) {
  std::string bytes = write_memory(some_tracks());
  bytes[0] = static_cast<char>(bytes[0] ^ 1);
  EXPECT_EQ(read_memory(bytes).error(), "another version of the server wrote it");
}

}  // namespace
}  // namespace fixwright::track
