/// Which place, state and counts people see of emitters that they declared one.

#include "server/app/pipeline/redirects.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::app {
namespace {

using testing::ElementsAre;

constexpr double kSilent_s = 600.0;

TimePoint second(int s) { return TimePoint{std::chrono::seconds{s}}; }

Emitter emitter(std::int64_t id, EmitterState state, int first_s, int last_s,
                std::uint64_t bearings) {
  Emitter e;
  e.key = {1, id};
  e.state = state;
  e.first_heard = second(first_s);
  e.last_heard = second(last_s);
  e.bearings = bearings;
  e.looks = static_cast<std::uint32_t>(bearings / 10);
  e.frequency_hz = 100.0 * static_cast<double>(id);
  e.fix.position = {41.0 + 0.1 * static_cast<double>(id), -150.0};
  e.stations = {static_cast<StationId>(id), 9};
  return e;
}

const Redirects kTwoIsOne{{{1, 2}, {1, 1}}};

double place_of_first(const std::vector<Emitter>& shown) {
  return shown.front().fix.position.latitude_deg;
}

TEST(ShowAsOne, CountsAreThoseOfAllAndTheOtherIsRetiredWithItsOwn) {
  const auto shown = show_as_one({emitter(1, EmitterState::confirmed, 10, 900, 30),
                                  emitter(2, EmitterState::confirmed, 20, 950, 10)},
                                 kTwoIsOne, kSilent_s);
  ASSERT_EQ(shown.size(), 2U);
  EXPECT_EQ(shown[0].key.id, 1);
  EXPECT_EQ(shown[0].state, EmitterState::confirmed);
  EXPECT_EQ(shown[0].bearings, 40U);
  EXPECT_EQ(shown[0].looks, 4U);
  EXPECT_DOUBLE_EQ(shown[0].frequency_hz, 125.0);  // (30 * 100 + 10 * 200) / 40
  EXPECT_EQ(shown[0].first_heard, second(10));
  EXPECT_EQ(shown[0].last_heard, second(950));
  EXPECT_THAT(shown[0].stations, ElementsAre(1, 2, 9));
  EXPECT_EQ(shown[1].state, EmitterState::retired);
  EXPECT_EQ(shown[1].bearings, 10U);
}

TEST(ShowAsOne, OfTwoHeardTogetherTheBetterKnownSaysWhere) {
  EXPECT_DOUBLE_EQ(place_of_first(show_as_one({emitter(1, EmitterState::confirmed, 0, 900, 30),
                                               emitter(2, EmitterState::confirmed, 0, 1400, 10)},
                                              kTwoIsOne, kSilent_s)),
                   41.1);
}

TEST(ShowAsOne, OneThatMovedIsWhereItWasHeardLast) {
  EXPECT_DOUBLE_EQ(place_of_first(show_as_one({emitter(1, EmitterState::silent, 0, 900, 30),
                                               emitter(2, EmitterState::silent, 0, 1501, 10)},
                                              kTwoIsOne, kSilent_s)),
                   41.2);
}

TEST(ShowAsOne, StandsWhileOneOfThemLivesAndWhereThatOneIs) {
  const auto shown = show_as_one({emitter(1, EmitterState::retired, 0, 900, 30),
                                  emitter(2, EmitterState::tentative, 0, 900, 10)},
                                 kTwoIsOne, kSilent_s);
  EXPECT_EQ(shown[0].state, EmitterState::tentative);
  EXPECT_DOUBLE_EQ(place_of_first(shown), 41.2);
}

TEST(ShowAsOne, EldestComesBackThroughAnotherWhenItIsForgotten) {
  const auto shown =
      show_as_one({emitter(2, EmitterState::confirmed, 0, 900, 10)}, kTwoIsOne, kSilent_s);
  ASSERT_EQ(shown.size(), 2U);
  EXPECT_EQ(shown[0].key.id, 1);
  EXPECT_EQ(shown[0].state, EmitterState::confirmed);
  EXPECT_EQ(shown[0].bearings, 10U);
  EXPECT_EQ(shown[1].state, EmitterState::retired);
}

TEST(ShowAsOne, OthersAreLeftAlone) {
  const Emitter other = emitter(3, EmitterState::silent, 0, 900, 30);
  const auto shown = show_as_one({other}, kTwoIsOne, kSilent_s);
  ASSERT_EQ(shown.size(), 1U);
  EXPECT_EQ(shown[0].state, EmitterState::silent);
  EXPECT_EQ(shown[0].bearings, 30U);
}

}  // namespace
}  // namespace fixwright::app
