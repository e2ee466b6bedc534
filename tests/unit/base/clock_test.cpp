#include "server/base/clock.hpp"

#include <gtest/gtest.h>

namespace fixwright {
namespace {

TEST(ManualClock, StandsStillUntilItIsTold) {
  const TimePoint start = *parse_rfc3339("2031-05-04T10:15:02Z");
  ManualClock clock{start};
  EXPECT_EQ(clock.now(), start);
  EXPECT_EQ(clock.now(), start);
  clock.advance(std::chrono::seconds{3});
  EXPECT_EQ(clock.now(), start + std::chrono::seconds{3});
  clock.set(start - std::chrono::hours{1});
  EXPECT_EQ(clock.now(), start - std::chrono::hours{1});
}

TEST(SystemClock, LiesBetweenTwoReadingsOfTheHostsUtc) {
  const auto before = std::chrono::system_clock::now();
  const TimePoint now = SystemClock{}.now();
  const auto after = std::chrono::system_clock::now();
  EXPECT_LE(before, now);
  EXPECT_LE(now, after);
}

}  // namespace
}  // namespace fixwright
