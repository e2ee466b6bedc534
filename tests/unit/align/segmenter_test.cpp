#include "server/align/segmenter.hpp"

#include <gtest/gtest.h>

namespace fixwright::align {
namespace {

std::vector<Bearing> at(const std::vector<double>& starts_s, double integration_s = 0.0) {
  std::vector<Bearing> bearings;
  for (const double s : starts_s) {
    Bearing b;
    b.start = TimePoint{} + from_seconds(s);
    b.integration = from_seconds(integration_s);
    b.key = {1, 1, bearings.size() + 1};
    bearings.push_back(b);
  }
  return bearings;
}

std::vector<std::size_t> sizes(const std::vector<Bearing>& bearings) {
  std::vector<std::size_t> all;
  for (const Segment& s : cut_into_segments(bearings, AlignRules{}))
    all.push_back(s.last - s.first);
  return all;
}

using Sizes = std::vector<std::size_t>;

TEST(Segmenter, NoBearingsAreNoTransmission) { EXPECT_EQ(sizes({}), Sizes{}); }

TEST(Segmenter, APauseOfJustTheGapIsBridgedALongerOneEndsIt) {
  EXPECT_EQ(sizes(at({0.0, 2.0})), (Sizes{2}));
  EXPECT_EQ(sizes(at({0.0, 2.000000001})), (Sizes{1, 1}));
}

TEST(Segmenter, ThePauseIsCountedFromTheEndOfTheIntegration) {
  EXPECT_EQ(sizes(at({0.0, 2.5}, 0.5)), (Sizes{2}));
}

TEST(Segmenter, TheLatestEndCountsNotTheLastBearings) {
  auto bearings = at({0.0, 0.5, 4.0});
  bearings[0].integration = std::chrono::seconds{2};
  EXPECT_EQ(sizes(bearings), (Sizes{3}));  // 2 s after the end of the first
}

TEST(Segmenter, ALongOneIsCutAtFiveSeconds) {
  EXPECT_EQ(sizes(at({0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10})), (Sizes{5, 5, 1}));
}

TEST(Segmenter, ClosesWhenNothingCanJoinAnyMore) {
  const auto short_one = cut_into_segments(at({10.0}, 0.5), AlignRules{});
  EXPECT_EQ(short_one.at(0).closes_at,
            TimePoint{} + std::chrono::milliseconds{12500} + Duration{1});
  const auto long_one = cut_into_segments(at({10.0, 12.0, 14.0}), AlignRules{});
  EXPECT_EQ(long_one.at(0).closes_at, TimePoint{} + std::chrono::seconds{15});
}

}  // namespace
}  // namespace fixwright::align
