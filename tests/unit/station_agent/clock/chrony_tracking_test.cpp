// What chronyc prints, and what it means.
#include "station_agent/clock/chrony_tracking.hpp"

#include <gtest/gtest.h>

#include <string>

namespace fixwright::agent {
namespace {

// Printed by chronyc of Debian 12 (chrony 4.3-2+deb12u3), `chronyc -c tracking`, of a chronyd that
// follows another on the same host with `minpoll 0 maxpoll 0`: before its first update, after it,
// and 13 s after the other was stopped; and of one with nothing but `local stratum 8`.
constexpr const char* kBefore =
    "00000000,,0,0.000000000,0.000000000,0.000000000,0.000000000,0.000,0.000,0.000,1.000000000,"
    "1.000000000,0.0,Not synchronised\n";
constexpr const char* kFollowing =
    "7F000001,127.0.0.1,2,1795624568.274130491,-0.000001879,0.000000088,0.000000267,0.033,0.003,"
    "0.266,0.000007853,0.000001868,1.0,Normal\n";
constexpr const char* kLost =
    "7F000001,127.0.0.1,2,1795624568.274130491,-0.000002275,0.000000088,0.000000267,0.033,0.003,"
    "0.266,0.000007853,0.000017097,1.0,Normal\n";
constexpr const char* kLocal =
    "7F7F0101,,8,1795624546.525733335,0.000000000,0.000000000,0.000000000,0.000,0.000,0.000,"
    "0.000000000,0.000000000,0.0,Normal\n";

TimePoint at(double unix_s) { return TimePoint{from_seconds(unix_s)}; }

ClockReading read(const char* line, double unix_s) {
  const auto tracking = parse_tracking(line);
  EXPECT_TRUE(tracking.has_value());
  return tracking ? reading_of(*tracking, at(unix_s)) : ClockReading{};
}

// chronyc(1): clock_error <= |system_time_offset| + root_dispersion + (0.5 * root_delay).
TEST(ChronyTracking, BoundIsThatOfTheManual) {
  const ClockReading r = read(kFollowing, 1795624569.0);
  EXPECT_EQ(r.state, ClockState::synchronised);
  EXPECT_EQ(r.reference, ClockReference::chrony);
  // 1.879 + 1.868 + 7.853 / 2 microseconds, printed to the nanosecond.
  EXPECT_NEAR(seconds(r.error), 7.6735e-6, 1e-9);
}

TEST(ChronyTracking, BeforeTheFirstUpdateNothingIsKnown) {
  const ClockReading r = read(kBefore, 1795624561.3);
  EXPECT_EQ(r.state, ClockState::unsynchronised);
  EXPECT_EQ(r.error, kUnknownClockError);
}

TEST(ChronyTracking, EightMissedUpdatesAreALostReferenceThoughChronySaysNormal) {
  EXPECT_EQ(read(kLost, 1795624576.2).state, ClockState::synchronised);  // 7.9 s
  const ClockReading r = read(kLost, 1795624581.5);
  EXPECT_EQ(r.state, ClockState::holdover);
  EXPECT_NEAR(seconds(r.error), 2.275e-6 + 17.097e-6 + 3.9265e-6, 1e-9);
}

TEST(ChronyTracking, TheLocalDirectiveIsNoReference) {
  EXPECT_EQ(read(kLocal, 1795624546.6).state, ClockState::unsynchronised);
}

TEST(ChronyTracking, ARootDistancePastOneSecondIsHoldover) {
  std::string line = kFollowing;
  line.replace(line.find("0.000001868"), 11, "1.100000000");
  EXPECT_EQ(read(line.c_str(), 1795624569.0).state, ClockState::holdover);
  line.replace(line.find("1.100000000"), 11, "900000000.0");
  EXPECT_EQ(read(line.c_str(), 1795624569.0).error, kUnknownClockError);
}

TEST(ChronyTracking, AnyOtherTextIsNoAnswer) {
  for (const char* line :
       {"", "\n", "506 Cannot talk to daemon\n", ",,,,,,,,,,,,,",
        "7F000001,a,2,x,0,0,0,0,0,0,0,0,1,Normal", "7F000001,a,2,1,nan,0,0,0,0,0,0,0,1,Normal",
        "7F000001,a,2,1,0,0,0,0,0,0,0,inf,1,Normal", "7F000001,a,2,1,0,0,0,0,0,0,0,-1,1,Normal",
        "7F000001,a,2,1e30,0,0,0,0,0,0,0,0,1,Normal",
        "7F000001,a,2,1,0,0,0,0,0,0,0,0,1,Normal,more"}) {
    EXPECT_FALSE(parse_tracking(line).has_value()) << line;
  }
}

}  // namespace
}  // namespace fixwright::agent
