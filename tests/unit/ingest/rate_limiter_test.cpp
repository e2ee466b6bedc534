#include "server/ingest/rate_limiter.hpp"

#include <gtest/gtest.h>

namespace fixwright::ingest {
namespace {

class RateLimiterTest : public testing::Test {
 protected:
  int take_all(RateLimiter& limiter) {
    int taken = 0;
    while (limiter.take()) ++taken;
    return taken;
  }
  ManualClock clock{TimePoint{std::chrono::hours{500'000}}};
};

TEST_F(RateLimiterTest, TheWholeWindowMayComeAtOnce) {
  RateLimiter limiter(50.0, 10.0, clock);
  EXPECT_EQ(take_all(limiter), 500);
}

TEST_F(RateLimiterTest, TokensComeBackAtTheRateAndNeverPassTheWindow) {
  RateLimiter limiter(50.0, 10.0, clock);
  take_all(limiter);
  clock.advance(std::chrono::milliseconds{500});
  EXPECT_EQ(take_all(limiter), 25);
  clock.advance(std::chrono::hours{24});
  EXPECT_EQ(take_all(limiter), 500);
}

TEST_F(RateLimiterTest, ABatchThatDoesNotFitTakesNothing) {
  RateLimiter limiter(1.0, 10.0, clock);
  EXPECT_FALSE(limiter.take(11));
  EXPECT_TRUE(limiter.take(10));
}

TEST_F(RateLimiterTest, AClockThatStepsBackGivesNoTokens) {
  RateLimiter limiter(1.0, 2.0, clock);
  take_all(limiter);
  clock.advance(-std::chrono::hours{1});
  EXPECT_FALSE(limiter.take());
  clock.advance(std::chrono::seconds{1});
  EXPECT_EQ(take_all(limiter), 1) << "and does not stop it for an hour";
}

}  // namespace
}  // namespace fixwright::ingest
