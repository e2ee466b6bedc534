#include "station_agent/source/iq/frame_clock.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "station_agent/source/iq/pacer.hpp"

namespace fixwright::agent::iq {

TimePoint FrameClock::time_of(std::uint64_t index) const {
  return base_ + time_of_frames(index, rate_hz_);
}

FrameClock::Stamp FrameClock::stamp(std::uint64_t frames, TimePoint arrival) {
  Stamp stamp;
  if (!anchored_) stamp.lost = anchor(frames, arrival);
  const Duration late = arrival - time_of(count_ + frames);
  if (late < Duration{}) {  // not from the future
    base_ += late;
    smallest_ = Duration{};
  } else {
    smallest_ = std::min(smallest_, late);
  }
  window_frames_ += frames;
  if (arrival - window_start_ >= kWindow) stamp.lost += close_window(arrival);
  stamp.start = time_of(count_);
  count_ += frames;
  return stamp;
}

std::uint64_t FrameClock::anchor(std::uint64_t frames, TimePoint arrival) {
  const TimePoint start = arrival - time_of_frames(frames, rate_hz_);
  std::uint64_t lost = 0;
  if (ever_anchored_)
    lost = std::max<std::uint64_t>(frames_in(start - time_of(count_), rate_hz_), 1);
  count_ += lost;
  base_ = start - time_of_frames(count_, rate_hz_);
  anchored_ = ever_anchored_ = true;
  window_start_ = arrival;
  window_frames_ = 0;
  smallest_ = Duration::max();
  return lost;
}

std::uint64_t FrameClock::close_window(TimePoint arrival) {
  const double rate_hz = static_cast<double>(window_frames_) / seconds(arrival - window_start_);
  const bool odd = std::abs(rate_hz - rate_hz_) > kOddRate * rate_hz_;
  if (odd && !rate_was_odd_) odd_rate_ = rate_hz;
  rate_was_odd_ = odd;
  std::uint64_t lost = 0;
  if (smallest_ > kGap) {
    lost = frames_in(smallest_, rate_hz_);
    count_ += lost;
  } else {
    base_ += smallest_ / 4;
  }
  window_start_ = arrival;
  window_frames_ = 0;
  smallest_ = Duration::max();
  return lost;
}

std::optional<double> FrameClock::take_odd_rate() { return std::exchange(odd_rate_, {}); }

}  // namespace fixwright::agent::iq
