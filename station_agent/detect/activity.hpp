#pragma once
/// When a channel's signal begins and ends: thresholds, hysteresis, and edges finer than a step.
/// It sees one channel's power, step by step, and nothing else.

#include <cstddef>

#include "server/base/time.hpp"

namespace fixwright::agent::detect {

/// Steps, not seconds; powers, not decibels.
struct ActivityRules {
  double open_ratio = 2.0;   // signal over noise power
  double close_ratio = 1.0;  // < open_ratio
  std::size_t hang_steps = 3;
  std::size_t look_steps = 80;
};

/// What is known of one look's time and strength when it is over.
struct LookShape {
  std::size_t own_steps = 0;  // steps in which the signal was there
  std::size_t last_own = 0;   // the last of them, counted from the look's first as 0
  std::size_t age = 0;        // steps since the look began
  /// How many steps the signal began before the end of the look's first step, and ended after the
  /// beginning of its last own step; 0 to 2. A step that the signal fills in part has that part of
  /// its power.
  double lead_steps = 1.0;
  double tail_steps = 1.0;
  double level = 0.0;  // signal power of a step that the signal fills
  double mean = 0.0;   // of all own steps, filled or not
};

enum class StepVerdict {
  quiet,   // no signal
  opens,   // a look begins with this step, the first of a transmission
  splits,  // the look before is whole; a new one begins with this step
  holds,   // this step is the look's
  waits,   // too weak: the end, or a short dip; not the look's
  closes,  // as waits, and it was the end
};

class Activity {
 public:
  explicit Activity(const ActivityRules& rules) : rules_(rules) {}

  /// One step's signal power (noise taken off; may be below 0) and noise power (> 0).
  StepVerdict step(double excess, double noise);
  /// What came before is no guide to what comes: after a gap.
  void reset();

  [[nodiscard]] bool active() const { return active_; }
  /// The look that has just been split off or closed.
  [[nodiscard]] const LookShape& finished() const { return finished_; }
  /// The look at hand. \pre active()
  [[nodiscard]] LookShape shape() const;

 private:
  StepVerdict go_on(double signal);
  StepVerdict wait(double signal);
  void begin(double signal, double before);
  void own(double signal);
  [[nodiscard]] double full_level() const;

  ActivityRules rules_;
  bool active_ = false;
  double previous_ = 0.0;  // signal power of the step before
  std::size_t quiet_ = 0;  // steps since the last own one
  std::size_t age_ = 0;
  std::size_t own_ = 0;
  std::size_t last_own_ = 0;
  double sum_ = 0.0;
  double before_ = 0.0;  // signal power of the quiet step before the first
  double first_ = 0.0;
  double last_ = 0.0;
  double after_ = 0.0;  // of the quiet step after the last own one
  double strongest_ = 0.0;
  LookShape finished_;
};

}  // namespace fixwright::agent::detect
