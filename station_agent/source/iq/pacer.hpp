#pragma once
/// Lets what was recorded come at the speed at which it was.

#include "server/base/clock.hpp"

namespace fixwright::agent::iq {

enum class Pace {
  fast,      // as fast as it is asked for, with its own times
  recorded,  // at its own speed, with its own times
  present,   // at its own speed, as if it began now
};

class Pacer {
 public:
  /// The clock must outlive the pacer.
  Pacer(Pace pace, const Clock& clock) : pace_(pace), clock_(clock) {}

  /// Waits at most `patience` until the block that ends at `end` may be given. \param start  of
  /// the whole, as recorded. \return whether it may.
  bool wait_for(TimePoint end, TimePoint start, Duration patience);
  /// What is added to recorded times; 0 but for Pace::present.
  [[nodiscard]] Duration shift() const { return pace_ == Pace::present ? ahead_ : Duration{}; }

 private:
  Pace pace_;
  const Clock& clock_;
  bool begun_ = false;
  Duration ahead_{};  // of our clock over the recording
};

/// The time that `frames` take; exact to a nanosecond for centuries. \pre rate_hz > 0.
Duration time_of_frames(std::uint64_t frames, double rate_hz);
/// The nearest number of frames; 0 for a negative time.
std::uint64_t frames_in(Duration time, double rate_hz);

}  // namespace fixwright::agent::iq
