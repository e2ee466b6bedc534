// What the agent says of its clock while kernel, chrony and the clock itself change.
#include "station_agent/clock/clock_judge.hpp"

#include <gmock/gmock.h>

namespace fixwright::agent {
namespace {

using std::chrono::microseconds;
using std::chrono::milliseconds;
using std::chrono::seconds;
using testing::HasSubstr;

constexpr TimePoint kStart{seconds{1'931'508'900}};

/// A host whose clocks run on from look to look.
class Host {
 public:
  ClockReading look(Duration later = milliseconds{200}) {
    now_.times.utc += later;
    now_.times.since_boot += later;
    return judge_.judge(now_);
  }
  void set_utc_by(Duration d) { now_.times.utc += d; }
  void kernel(int returned, int status, long maxerror_us) {
    now_.kernel_returned = returned;
    now_.kernel.status = status;
    now_.kernel.maxerror = maxerror_us;
  }
  void kernel_lost() { kernel(TIME_ERROR, STA_UNSYNC, 16'000'000); }
  /// An update of chrony's just now, with this bound.
  void chrony(double offset_s, double dispersion_s) {
    now_.chrony = ChronyTracking{true, now_.times.utc, offset_s, 0.0, dispersion_s, 64.0};
  }
  void chrony_gone() { now_.chrony.reset(); }
  /// The texts since the last call.
  std::vector<std::string> lines() {
    std::vector<std::string> texts;
    for (const ClockLine& line : judge_.take_lines()) texts.push_back(line.text);
    return texts;
  }

 private:
  ClockJudge judge_;
  ClockLook now_{{kStart, seconds{1000}}, TIME_ERROR, {}, {}};
};

TEST(ClockJudge, OfTwoReferencesTheSmallerBoundCounts) {
  Host host;
  host.kernel(TIME_OK, STA_PLL, 12'500);
  host.chrony(0.0, 0.002);
  EXPECT_EQ(host.look().reference, ClockReference::chrony);
  EXPECT_EQ(host.look().error, milliseconds{2});
  host.kernel(TIME_OK, STA_PLL, 1'500);
  EXPECT_EQ(host.look().reference, ClockReference::kernel);
  EXPECT_EQ(host.look().error, microseconds{1500});
}

TEST(ClockJudge, ChronyWithoutRtcsyncCountsThoughTheKernelSaysUnsynchronised) {
  Host host;
  host.kernel_lost();
  host.chrony(0.0, 0.004);
  const ClockReading r = host.look();
  EXPECT_EQ(r.state, ClockState::synchronised);
  EXPECT_EQ(r.error, milliseconds{4});
}

TEST(ClockJudge, NoReferenceEverMeansUnsynchronisedAndSixteenSeconds) {
  Host host;
  const ClockReading r = host.look();
  EXPECT_EQ(r.state, ClockState::unsynchronised);
  EXPECT_EQ(r.error, kUnknownClockError);
}

TEST(ClockJudge, AStepIsUnsynchronisedAtTheNextLookAndWorseByItsSize) {
  for (const Duration step : {Duration{seconds{2}}, Duration{seconds{-2}}}) {
    Host host;
    host.kernel(TIME_OK, STA_PLL, 1'000);
    host.look();
    host.lines();
    host.set_utc_by(step);
    const ClockReading r = host.look();
    EXPECT_EQ(r.state, ClockState::unsynchronised);
    EXPECT_EQ(r.error, seconds{2} + milliseconds{1});
    const auto lines = host.lines();
    ASSERT_EQ(lines.size(), 2U);
    EXPECT_THAT(lines[0], HasSubstr(step > Duration{0} ? "set by +2.000 s" : "set by -2.000 s"));
    EXPECT_THAT(lines[1], HasSubstr("unsynchronised, within 2.001000 s"));
    host.look();
    EXPECT_TRUE(host.lines().empty()) << "said once";
  }
}

TEST(ClockJudge, AKernelBoundThatFallsAfterTheStepConfirmsTheClock) {
  Host host;
  host.kernel(TIME_OK, STA_PLL, 1'000);
  host.look();
  host.set_utc_by(seconds{2});
  host.look();
  host.kernel(TIME_OK, STA_PLL, 1'100);  // it only grows between updates: none came
  EXPECT_EQ(host.look().state, ClockState::unsynchronised);
  host.kernel(TIME_OK, STA_PLL, 900);
  EXPECT_EQ(host.look().state, ClockState::synchronised);
  EXPECT_EQ(host.look().error, microseconds{900});
}

TEST(ClockJudge, OnlyALaterUpdateOfChronyConfirmsTheClockAfterAStep) {
  for (const int step_s : {3600, -3600}) {
    Host host;
    host.chrony(0.0, 0.001);
    host.look();
    host.set_utc_by(seconds{step_s});
    EXPECT_EQ(host.look().state, ClockState::unsynchronised);
    EXPECT_EQ(host.look(seconds{60}).state, ClockState::unsynchronised) << "the same old update";
    host.chrony(0.0, 0.001);
    EXPECT_EQ(host.look().state, ClockState::synchronised);
  }
}

TEST(ClockJudge, StepsAddUpUntilOneIsConfirmed) {
  Host host;
  host.kernel(TIME_OK, STA_PLL, 1'000);
  host.look();
  host.set_utc_by(seconds{2});
  host.look();
  host.set_utc_by(seconds{-3});
  EXPECT_EQ(host.look().error, seconds{5} + milliseconds{1});
}

TEST(ClockJudge, AnAnnouncedLeapSecondIsNoStep) {
  Host host;
  host.kernel(TIME_INS, STA_PLL, 1'000);
  host.look();
  host.set_utc_by(seconds{-1});
  host.kernel(TIME_OOP, STA_PLL, 1'000);
  EXPECT_EQ(host.look().state, ClockState::synchronised);
  host.set_utc_by(seconds{-2});  // not what was announced
  EXPECT_EQ(host.look().state, ClockState::unsynchronised);
}

TEST(ClockJudge, SleepOfTheHostIsNoStep) {
  Host host;
  host.kernel(TIME_OK, STA_PLL, 1'000);
  host.look();
  EXPECT_EQ(host.look(std::chrono::hours{8}).state, ClockState::synchronised);
}

// RFC 5905: PHI, 15 ppm, is what a clock drifts at most; MAXDIST, 1 s, what is still time.
TEST(ClockJudge, ALostReferenceIsHoldoverWhoseBoundGrowsFifteenMicrosecondsASecond) {
  Host host;
  host.chrony(0.0, 0.010);
  host.look();
  host.lines();
  host.chrony_gone();
  const ClockReading at_once = host.look(milliseconds{0});
  EXPECT_EQ(at_once.state, ClockState::holdover);
  EXPECT_EQ(at_once.error, milliseconds{10});
  EXPECT_THAT(host.lines(), testing::ElementsAre(HasSubstr("its reference is lost")));
  EXPECT_EQ(host.look(seconds{1000}).error, milliseconds{25});
  EXPECT_EQ(host.look(seconds{64'900}).state, ClockState::holdover);  // 0.9985 s
  const ClockReading later = host.look(seconds{200});                 // past 1 s
  EXPECT_EQ(later.state, ClockState::unsynchronised);
  EXPECT_EQ(later.error, kUnknownClockError);
}

TEST(ClockJudge, ALostKernelReferenceIsHoldoverAtOnce) {
  Host host;
  host.kernel(TIME_OK, STA_PLL, 2'000);
  host.look();
  host.kernel_lost();
  const ClockReading r = host.look(milliseconds{0});
  EXPECT_EQ(r.state, ClockState::holdover);
  EXPECT_EQ(r.error, milliseconds{2});
}

TEST(StepWatch, SeesTenMillisecondsAndNotTheReadingsOwnSpread) {
  StepWatch watch;
  EXPECT_FALSE(watch.look({kStart, seconds{5}}));
  EXPECT_FALSE(watch.look({kStart + seconds{1} + milliseconds{9}, seconds{6}}));
  EXPECT_EQ(watch.look({kStart + seconds{2} + milliseconds{10}, seconds{7}}), milliseconds{10});
  EXPECT_FALSE(watch.look({kStart + seconds{3} + milliseconds{10}, seconds{8}})) << "told once";
}

TEST(StepWatch, SmallStepsInTheSameDirectionAreNotLost) {
  StepWatch watch;
  watch.look({kStart, seconds{5}});
  EXPECT_FALSE(watch.look({kStart + milliseconds{6}, seconds{5}}));
  EXPECT_EQ(watch.look({kStart + milliseconds{12}, seconds{5}}), milliseconds{12});
}

TEST(StepWatch, ThisHostsClocksRunTogether) {
  StepWatch watch;
  const HostTimes first = read_host_times();
  watch.look(first);
  EXPECT_FALSE(watch.look(read_host_times()));
  EXPECT_GT(first.since_boot, Duration{0});
}

}  // namespace
}  // namespace fixwright::agent
