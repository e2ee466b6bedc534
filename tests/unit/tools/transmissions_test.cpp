#include "server/tools/transmissions.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace fixwright::tools {
namespace {

Bearing bearing(double at_s, StationId station, double frequency_hz) {
  static std::uint64_t sequence = 0;
  Bearing b;
  b.key = {station, 1, ++sequence};
  b.start = TimePoint{from_seconds(at_s)};
  b.frequency_hz = frequency_hz;
  return b;
}

TEST(Transmissions, APauseLongerThanTheGapEndsOne) {
  const auto cut =
      cut_transmissions({bearing(0.0, 1, 1e8), bearing(2.0, 2, 1e8), bearing(4.5, 1, 1e8)},
                        {.frequency_tolerance_hz = 1000.0, .gap_s = 2.0});
  ASSERT_EQ(cut.size(), 2U);
  EXPECT_EQ(cut[0].bearings.size(), 2U);
  EXPECT_EQ(cut[0].key.channel, cut[1].key.channel);
}

TEST(Transmissions, FrequenciesPastTheToleranceAreApart) {
  const auto cut = cut_transmissions(
      {bearing(0.0, 1, 1e8), bearing(0.0, 2, 1e8 + 900.0), bearing(0.1, 3, 1e8 + 12'500.0)},
      {.frequency_tolerance_hz = 1000.0, .gap_s = 2.0});
  ASSERT_EQ(cut.size(), 2U);
  EXPECT_EQ(cut[0].bearings.size(), 2U);
  EXPECT_NE(cut[0].key.channel, cut[1].key.channel);
}

TEST(Transmissions, OrderOfTheRowsPlaysNoPart) {
  std::vector<Bearing> rows;
  for (int i = 0; i < 40; ++i) {
    rows.push_back(bearing(0.7 * (i % 13), 1 + i % 4, 1e8 + 300.0 * (i % 5)));
  }
  const auto forward = cut_transmissions(rows, {.frequency_tolerance_hz = 500.0, .gap_s = 1.0});
  std::reverse(rows.begin(), rows.end());
  const auto backward = cut_transmissions(rows, {.frequency_tolerance_hz = 500.0, .gap_s = 1.0});
  ASSERT_EQ(forward.size(), backward.size());
  for (std::size_t i = 0; i < forward.size(); ++i) {
    EXPECT_EQ(forward[i].key, backward[i].key);
    EXPECT_EQ(forward[i].bearings, backward[i].bearings);
  }
}

TEST(Transmissions, NothingGivesNone) { EXPECT_TRUE(cut_transmissions({}, {}).empty()); }

}  // namespace
}  // namespace fixwright::tools
