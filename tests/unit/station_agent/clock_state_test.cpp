#include "station_agent/clock/clock_state.hpp"

#include <gtest/gtest.h>

namespace fixwright::agent {
namespace {

using std::chrono::milliseconds;

timex kernel_of(int status, long maxerror_us) {
  timex kernel{};
  kernel.status = status;
  kernel.maxerror = maxerror_us;
  kernel.esterror = 7;  // must not be what we report
  return kernel;
}

// adjtimex(2): TIME_ERROR and STA_UNSYNC mean no reference; maxerror is in microseconds.
TEST(ClockState, DisciplinedClockReportsTheKernelsBoundNotItsEstimate) {
  const ClockReading r = reading_of(TIME_OK, kernel_of(STA_PLL, 12'500));
  EXPECT_EQ(r.state, ClockState::synchronised);
  EXPECT_EQ(r.error, std::chrono::microseconds{12'500});
}

TEST(ClockState, UnsyncFlagMeansUnknownErrorWhateverTheKernelCounts) {
  const ClockReading r = reading_of(TIME_OK, kernel_of(STA_UNSYNC, 10));
  EXPECT_EQ(r.state, ClockState::unsynchronised);
  EXPECT_EQ(r.error, kUnknownClockError);
}

TEST(ClockState, TimeErrorAndFailedCallAreUnsynchronised) {
  EXPECT_EQ(reading_of(TIME_ERROR, kernel_of(STA_PLL, 10)).state, ClockState::unsynchronised);
  EXPECT_EQ(reading_of(-1, kernel_of(0, 0)).state, ClockState::unsynchronised);
}

TEST(ClockState, BoundPastOneSecondIsHoldover) {
  EXPECT_EQ(reading_of(TIME_OK, kernel_of(STA_PLL, 1'000'000)).state, ClockState::synchronised);
  const ClockReading r = reading_of(TIME_OK, kernel_of(STA_PLL, 1'000'001));
  EXPECT_EQ(r.state, ClockState::holdover);
  EXPECT_EQ(r.error, std::chrono::microseconds{1'000'001});
}

TEST(ClockState, LeapSecondAnnouncementsDoNotUnsynchronise) {
  for (const int announced : {TIME_INS, TIME_DEL, TIME_OOP, TIME_WAIT}) {
    EXPECT_EQ(reading_of(announced, kernel_of(STA_PLL, 500)).state, ClockState::synchronised);
  }
}

TEST(ClockState, KernelAnswersOnThisHost) {
  const ClockReading r = KernelClockMonitor{}.read();
  EXPECT_GE(r.error, Duration{0});
  EXPECT_LE(r.error, kUnknownClockError);  // the kernel stops counting there
}

TEST(ClockState, FixedMonitorSaysWhatItWasTold) {
  const FixedClockMonitor fixed({ClockState::holdover, milliseconds{40}});
  EXPECT_EQ(fixed.read().state, ClockState::holdover);
  EXPECT_EQ(fixed.read().error, milliseconds{40});
}

}  // namespace
}  // namespace fixwright::agent
