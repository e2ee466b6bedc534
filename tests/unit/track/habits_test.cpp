#include "server/track/habits.hpp"

#include <gtest/gtest.h>

namespace fixwright::track {
namespace {

TEST(Habits, BeforeAnythingIsKnownItIsOnTheAirAsOftenAsNot) {
  const Habits habits;
  EXPECT_EQ(habits.on_air(), 0.5);
  EXPECT_FALSE(habits.heard_by(1));
}

TEST(Habits, TheyAreTheSharesOfWhatWasCounted) {
  Habits habits;
  for (int i = 0; i < 100; ++i) {
    const double on = i % 4 == 0 ? 1.0 : 0.0;
    habits.count_transmission(on);
    habits.count_station(1, on, on);
    habits.count_station(2, on, i % 8 == 0 ? on : 0.0);
  }
  // One and four of the prior still pull: a few hundredths.
  EXPECT_NEAR(habits.on_air(), 0.25, 0.03);
  EXPECT_NEAR(*habits.heard_by(1), 1.0, 0.05);
  EXPECT_NEAR(*habits.heard_by(2), 0.5, 0.07);
}

TEST(Habits, OldOnesFade) {
  Habits habits;
  for (int i = 0; i < 1000; ++i) habits.count_transmission(1.0);
  EXPECT_GT(habits.on_air(), 0.98);
  for (int i = 0; i < 1000; ++i) habits.count_transmission(0.0);
  EXPECT_LT(habits.on_air(), 0.02);  // e^-5 of what was
  EXPECT_GT(habits.on_air(), 0.0);
}

TEST(Habits, ADoubtfulHearingMakesNoStationKnown) {
  Habits habits;
  habits.count_station(3, 0.9, 0.4);
  EXPECT_FALSE(habits.heard_by(3));
  habits.count_station(3, 0.9, 0.9);
  EXPECT_TRUE(habits.heard_by(3));
}

TEST(Habits, OfAShareOneIsOnTheAirLessAndHeardAsWell) {
  Habits habits;
  for (int i = 0; i < 100; ++i) {
    habits.count_transmission(1.0);
    habits.count_station(1, 1.0, 1.0);
  }
  const Habits half = habits.of_share(0.5);
  EXPECT_NEAR(half.on_air(), 0.5, 0.02);
  EXPECT_NEAR(*half.heard_by(1), *habits.heard_by(1), 0.02);
}

}  // namespace
}  // namespace fixwright::track
