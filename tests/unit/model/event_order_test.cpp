/// The one order of bearings, on which equal results live and in a replay rest.

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <vector>

#include "server/model/bearing.hpp"

namespace fixwright {
namespace {

Bearing bearing(std::int64_t start_ns, StationId station, StreamId stream, std::uint64_t sequence) {
  Bearing b;
  b.start = TimePoint{Duration{start_ns}};
  b.key = {station, stream, sequence};
  return b;
}

/// Few values for each part, so that every kind of tie occurs.
std::vector<Bearing> every_combination() {
  std::vector<Bearing> all;
  for (const std::int64_t start : {-1, 0, 5}) {
    for (const StationId station : {1, 2}) {
      for (const StreamId stream : {7U, 9U}) {
        for (const std::uint64_t sequence : {1U, 2U}) {
          all.push_back(bearing(start, station, stream, sequence));
        }
      }
    }
  }
  return all;
}

TEST(EventOrder, IsByTimeThenStationThenStreamThenSequence) {
  const EventOrder before;
  EXPECT_TRUE(before(bearing(1, 9, 9, 9), bearing(2, 1, 1, 1)));
  EXPECT_TRUE(before(bearing(1, 1, 9, 9), bearing(1, 2, 1, 1)));
  EXPECT_TRUE(before(bearing(1, 1, 1, 9), bearing(1, 1, 2, 1)));
  EXPECT_TRUE(before(bearing(1, 1, 1, 1), bearing(1, 1, 1, 2)));
}

// The C++ standard's Compare requirements ([alg.sorting]): irreflexive, asymmetric, transitive,
// and "neither is before the other" is transitive too.
TEST(EventOrder, IsAStrictWeakOrder) {
  const EventOrder before;
  const auto all = every_combination();
  const auto tied = [&](const Bearing& a, const Bearing& b) {
    return !before(a, b) && !before(b, a);
  };
  for (const Bearing& a : all) {
    EXPECT_FALSE(before(a, a));
    for (const Bearing& b : all) {
      EXPECT_FALSE(before(a, b) && before(b, a));
      for (const Bearing& c : all) {
        EXPECT_TRUE(before(a, c) || !before(a, b) || !before(b, c));
        EXPECT_TRUE(tied(a, c) || !tied(a, b) || !tied(b, c));
      }
    }
  }
}

// Total on keys: two different bearings are never tied, so a sort has one result.
TEST(EventOrder, OnlyTheSameBearingIsTied) {
  const EventOrder before;
  const auto all = every_combination();
  for (const Bearing& a : all) {
    for (const Bearing& b : all) {
      EXPECT_EQ(before(a, b) || before(b, a), a.key != b.key || a.start != b.start);
    }
  }
}

TEST(EventOrder, ArrivalPlaysNoPart) {
  const auto sorted = [](std::vector<Bearing> bearings) {
    std::sort(bearings.begin(), bearings.end(), EventOrder{});
    return bearings;
  };
  std::vector<Bearing> arrived = every_combination();
  const std::vector<Bearing> expected = sorted(arrived);
  std::mt19937 random{3};
  for (int i = 0; i < 100; ++i) {
    std::shuffle(arrived.begin(), arrived.end(), random);
    ASSERT_EQ(sorted(arrived), expected);
  }
}

// What a bearing says must not move it: a resend that differs in it is the same bearing.
TEST(EventOrder, ContentPlaysNoPart) {
  Bearing changed = bearing(1, 1, 1, 1);
  changed.azimuth_deg = 200.0;
  changed.channel = 5;
  changed.frequency_hz = 1e8;
  EXPECT_FALSE(EventOrder{}(bearing(1, 1, 1, 1), changed));
  EXPECT_FALSE(EventOrder{}(changed, bearing(1, 1, 1, 1)));
}

TEST(Bearing, MiddleAndEndFollowFromStartAndIntegration) {
  Bearing b = bearing(1'000, 1, 1, 1);
  b.integration = Duration{400};
  EXPECT_EQ(b.middle(), TimePoint{Duration{1'200}});
  EXPECT_EQ(b.end(), TimePoint{Duration{1'400}});
}

}  // namespace
}  // namespace fixwright
