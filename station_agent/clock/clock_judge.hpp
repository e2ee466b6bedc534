#pragma once
/// From what kernel, chrony and the host's two clocks say to one state and one bound. Pure: the
/// same looks give the same answers.

#include <sys/timex.h>

#include <optional>
#include <string>
#include <vector>

#include "station_agent/clock/chrony_tracking.hpp"
#include "station_agent/clock/clock_state.hpp"
#include "station_agent/clock/step_watch.hpp"

namespace fixwright::agent {

/// All there is to know at one moment.
struct ClockLook {
  HostTimes times;
  int kernel_returned = TIME_ERROR;  // of adjtimex(2)
  timex kernel{};
  std::optional<ChronyTracking> chrony;  // its newest answer; absent: it has not answered lately
};

/// One line for a person.
struct ClockLine {
  bool degraded = false;
  std::string text;
};

/// The better of the two references: the one that keeps the clock, and of two the smaller bound.
///
/// A reference that is lost leaves the clock in holdover: its last bound grows by kDriftTolerance
/// until it passes kHoldoverError, then the clock is unsynchronised and 16 s off.
///
/// A step makes it unsynchronised at once, and by the size of the step worse: nobody knows which
/// of the two times is right. It ends when a reference has taken a measurement after the step: a
/// later update of chrony's, or a bound of the kernel's that falls, which between updates it never
/// does. A leap second that the kernel announced is no step.
class ClockJudge {
 public:
  ClockReading judge(const ClockLook& look);
  /// What a person should read, one line each, since the last call: steps and changes of state.
  std::vector<ClockLine> take_lines();

 private:
  struct Doubt {
    Duration size{};
    TimePoint since;
    std::optional<TimePoint> chrony_reference_time;
  };
  struct Known {
    ClockReading reading;
    Duration since_boot{};
  };

  void watch_for_step(const ClockLook& look);
  [[nodiscard]] bool confirmed(const ClockLook& look) const;
  [[nodiscard]] ClockReading best(const ClockLook& look) const;
  [[nodiscard]] ClockReading hold_over(const ClockLook& look) const;
  void tell(const ClockReading& reading);

  StepWatch steps_;
  std::optional<Doubt> doubt_;
  std::optional<Known> known_;
  std::optional<TimePoint> chrony_reference_time_;
  long kernel_maxerror_us_ = 0;
  std::optional<ClockState> told_;
  std::vector<ClockLine> lines_;
};

}  // namespace fixwright::agent
