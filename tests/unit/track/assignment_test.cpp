#include "server/track/assignment.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::track {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

TEST(Assignment, OfNothingIsNothing) { EXPECT_THAT(cheapest_assignment({}), IsEmpty()); }

TEST(Assignment, OneBearingGoesToTheCheaperEmitter) {
  EXPECT_THAT(cheapest_assignment({{0, 0, 2.0}, {0, 1, 1.0}}), ElementsAre(1));
}

TEST(Assignment, TwoBearingsGoWhereTheSumIsLeastNotWhereTheFirstIs) {
  // Cheapest first would take (0, 0) for 1 and leave (1, 1) for 10.
  EXPECT_THAT(cheapest_assignment({{0, 0, 1.0}, {0, 1, 2.0}, {1, 0, 3.0}, {1, 1, 10.0}}),
              ElementsAre(1, 2));
}

TEST(Assignment, AsManyAsCanBeAreChosenEvenIfDearer) {
  EXPECT_THAT(cheapest_assignment({{0, 0, 1.0}, {0, 1, 9.0}, {1, 0, 9.0}}), ElementsAre(1, 2));
}

TEST(Assignment, EqualCostsGoToTheEarlierCandidate) {
  EXPECT_THAT(cheapest_assignment({{0, 0, 1.0}, {0, 1, 1.0}}), ElementsAre(0));
}

TEST(Assignment, ACrowdIsServedCheapestFirst) {
  std::vector<Candidate> crowd;
  for (int b = 0; b < 5; ++b) {
    for (int e = 0; e < 5; ++e) crowd.push_back({b, e, b == e ? 0.0 : 5.0});
  }
  EXPECT_THAT(cheapest_assignment(crowd), ElementsAre(0, 6, 12, 18, 24));
}

}  // namespace
}  // namespace fixwright::track
