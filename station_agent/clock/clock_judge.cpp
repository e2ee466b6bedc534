#include "station_agent/clock/clock_judge.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <utility>

namespace fixwright::agent {

namespace {

constexpr Duration kSlack = std::chrono::seconds{1};  // from an update to our look at it

bool keeps_time(const ClockReading& r) { return r.state != ClockState::unsynchronised; }

/// The kernel sets UTC back or forward by a second for a leap second it announced; adjtimex(2).
bool is_leap_second(Duration step, int kernel_returned) {
  const bool announced = kernel_returned == TIME_INS || kernel_returned == TIME_DEL ||
                         kernel_returned == TIME_OOP || kernel_returned == TIME_WAIT;
  const Duration off = (step < Duration{0} ? -step : step) - std::chrono::seconds{1};
  return announced && off < std::chrono::milliseconds{10} && off > -std::chrono::milliseconds{10};
}

const char* word(ClockState state) {
  switch (state) {
    case ClockState::synchronised:
      return "synchronised";
    case ClockState::holdover:
      return "in holdover, its reference is lost";
    case ClockState::unsynchronised:
      break;
  }
  return "unsynchronised";
}

const char* word(ClockReference reference) {
  switch (reference) {
    case ClockReference::kernel:
      return "kernel";
    case ClockReference::chrony:
      return "chrony";
    case ClockReference::fixed:
      return "configuration";
    case ClockReference::none:
      break;
  }
  return "nobody keeps it";
}

}  // namespace

ClockReading ClockJudge::judge(const ClockLook& look) {
  watch_for_step(look);
  if (doubt_ && confirmed(look)) doubt_.reset();
  ClockReading reading = best(look);
  if (keeps_time(reading)) known_ = Known{reading, look.times.since_boot};
  if (!keeps_time(reading)) reading = hold_over(look);
  if (doubt_) {
    reading.state = ClockState::unsynchronised;
    reading.error += doubt_->size;
  }
  kernel_maxerror_us_ = look.kernel.maxerror;
  if (look.chrony) chrony_reference_time_ = look.chrony->reference_time;
  tell(reading);
  return reading;
}

std::vector<ClockLine> ClockJudge::take_lines() { return std::exchange(lines_, {}); }

void ClockJudge::watch_for_step(const ClockLook& look) {
  const auto step = steps_.look(look.times);
  if (!step || is_leap_second(*step, look.kernel_returned)) return;
  const Duration size = *step < Duration{0} ? -*step : *step;
  // Steps add up, but a clock set a thousand times is no worse than the type can hold.
  const Duration before = doubt_ ? doubt_->size : Duration{0};
  doubt_ = Doubt{std::min(before, Duration::max() / 4) + std::min(size, Duration::max() / 4),
                 look.times.utc, chrony_reference_time_};
  lines_.push_back(
      {true, fmt::format("clock: the host's clock was set by {:+.3f} s to {}; bearings leave as "
                         "unsynchronised until a time reference confirms it",
                         seconds(*step), format_rfc3339(look.times.utc))});
}

bool ClockJudge::confirmed(const ClockLook& look) const {
  if (keeps_time(reading_of(look.kernel_returned, look.kernel)) &&
      look.kernel.maxerror < kernel_maxerror_us_) {
    return true;
  }
  if (!look.chrony || !look.chrony->synchronised) return false;
  const TimePoint update = look.chrony->reference_time;
  return update != doubt_->chrony_reference_time && update >= doubt_->since - kSlack &&
         update <= look.times.utc + kSlack;
}

ClockReading ClockJudge::best(const ClockLook& look) const {
  const ClockReading kernel = reading_of(look.kernel_returned, look.kernel);
  if (!look.chrony) return kernel;
  const ClockReading chrony = reading_of(*look.chrony, look.times.utc);
  if (keeps_time(kernel) != keeps_time(chrony)) return keeps_time(kernel) ? kernel : chrony;
  return chrony.error <= kernel.error ? chrony : kernel;
}

ClockReading ClockJudge::hold_over(const ClockLook& look) const {
  const ClockReading unknown{ClockState::unsynchronised, kUnknownClockError};
  if (!known_) return unknown;
  const double elapsed_s = seconds(look.times.since_boot - known_->since_boot);
  const Duration error = known_->reading.error + from_seconds(elapsed_s * kDriftTolerance);
  if (error > kHoldoverError) return unknown;
  return {ClockState::holdover, error, known_->reading.reference};
}

void ClockJudge::tell(const ClockReading& reading) {
  if (told_ == reading.state) return;
  told_ = reading.state;
  lines_.push_back({reading.state != ClockState::synchronised,
                    fmt::format("clock: {}, within {:.6f} s ({})", word(reading.state),
                                seconds(reading.error), word(reading.reference))});
}

}  // namespace fixwright::agent
