#include "server/align/watermark.hpp"

#include <gtest/gtest.h>

namespace fixwright::align {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

const TimePoint kNoon{std::chrono::hours{500'000}};

Heartbeat heartbeat(StationId station, TimePoint received, Duration behind = {},
                    Duration clock_error = {}) {
  return {station, received, received - behind, clock_error, ClockState::synchronised};
}

TEST(Watermark, NothingIsCompleteBeforeTheFirstWord) {
  EXPECT_EQ(Watermark(AlignRules{}).value(), kBeginningOfTime);
}

TEST(Watermark, IsTheLowWatermarkLessClockErrorAndSlack) {
  Watermark w{AlignRules{}};
  w.heartbeat(heartbeat(1, kNoon, seconds{3}, milliseconds{500}));
  EXPECT_EQ(w.value(), kNoon - milliseconds{5500});
}

TEST(Watermark, WaitsForTheSlowestStation) {
  Watermark w{AlignRules{}};
  w.heartbeat(heartbeat(2, kNoon, seconds{8}));
  w.heartbeat(heartbeat(1, kNoon));
  EXPECT_EQ(w.value(), kNoon - seconds{10});
}

TEST(Watermark, NeverGoesBack) {
  Watermark w{AlignRules{}};
  w.heartbeat(heartbeat(1, kNoon));
  w.heartbeat(heartbeat(2, kNoon, seconds{30}));
  w.heartbeat(heartbeat(1, kNoon + seconds{1}, seconds{20}));
  EXPECT_EQ(w.value(), kNoon - seconds{2});
}

TEST(Watermark, AClockThatRunsAheadCountsFromItsReceipt) {
  Watermark w{AlignRules{}};
  w.heartbeat(heartbeat(1, kNoon, -std::chrono::hours{1}));
  EXPECT_EQ(w.value(), kNoon - seconds{2});
}

TEST(Watermark, AStationUnheardForTenSecondsIsNotWaitedFor) {
  Watermark w{AlignRules{}};
  w.heartbeat(heartbeat(1, kNoon));
  w.heartbeat(heartbeat(2, kNoon));
  w.heartbeat(heartbeat(1, kNoon + seconds{10}));
  EXPECT_EQ(w.value(), kNoon - seconds{2});  // ten seconds to the nanosecond: still waited for
  w.tick(kNoon + seconds{10} + Duration{1});
  EXPECT_EQ(w.value(), kNoon + seconds{8});
}

TEST(Watermark, IdlenessIsMeasuredFromReceiptNotFromEventTime) {
  Watermark w{AlignRules{}};
  w.heartbeat(heartbeat(1, kNoon));
  w.heartbeat(heartbeat(2, kNoon, seconds{40}));  // far behind, but alive
  w.tick(kNoon + seconds{5});
  EXPECT_EQ(w.value(), kNoon - seconds{2});  // never back
  w.heartbeat(heartbeat(1, kNoon + seconds{9}));
  EXPECT_EQ(w.value(), kNoon - seconds{2});  // held by the one that is behind
}

TEST(Watermark, ABearingWakesAnIdleStationOnceUntilItsNextHeartbeat) {
  Watermark w{AlignRules{}};
  w.heartbeat(heartbeat(1, kNoon));
  w.heartbeat(heartbeat(2, kNoon));
  w.heartbeat(heartbeat(1, kNoon + seconds{11}));
  ASSERT_EQ(w.value(), kNoon + seconds{9});
  w.message(2);
  w.heartbeat(heartbeat(1, kNoon + seconds{20}));
  EXPECT_EQ(w.value(), kNoon + seconds{9});  // awake: waited for
  w.heartbeat(heartbeat(1, kNoon + seconds{22}));
  EXPECT_EQ(w.value(), kNoon + seconds{20});
  w.message(2);
  w.heartbeat(heartbeat(1, kNoon + seconds{24}));
  EXPECT_EQ(w.value(), kNoon + seconds{22});  // not woken twice by bearings alone
}

TEST(Watermark, WithAllIdleItFollowsTheServersClockAMinuteBehind) {
  Watermark w{AlignRules{}};
  w.heartbeat(heartbeat(1, kNoon));
  w.tick(kNoon + seconds{11});
  EXPECT_EQ(w.value(), kNoon - seconds{2});  // noon + 11 - 60 would be back
  w.tick(kNoon + seconds{100});
  EXPECT_EQ(w.value(), kNoon + seconds{40});
}

TEST(Watermark, ATickBeforeAnEarlierOneIsIgnored) {
  Watermark w{AlignRules{}};
  w.tick(kNoon);
  w.tick(kNoon - std::chrono::hours{1});
  EXPECT_EQ(w.value(), kNoon - seconds{60});
}

}  // namespace
}  // namespace fixwright::align
