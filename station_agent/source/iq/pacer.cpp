#include "station_agent/source/iq/pacer.hpp"

#include <poll.h>

#include <algorithm>
#include <cmath>

#include "station_agent/source/lines/line_input.hpp"

namespace fixwright::agent::iq {

bool Pacer::wait_for(TimePoint end, TimePoint start, Duration patience) {
  if (pace_ == Pace::fast) return true;
  const TimePoint now = clock_.now();
  if (!begun_) ahead_ = now - start;
  begun_ = true;
  const Duration wait = end + ahead_ - now;
  if (wait <= Duration{}) return true;
  poll(nullptr, 0, poll_ms(std::min(wait, patience)));
  return clock_.now() >= end + ahead_;
}

Duration time_of_frames(std::uint64_t frames, double rate_hz) {
  const long double ns = static_cast<long double>(frames) * 1e9L / rate_hz;
  return Duration{static_cast<Duration::rep>(std::llround(ns))};
}

std::uint64_t frames_in(Duration time, double rate_hz) {
  const long double frames = static_cast<long double>(time.count()) * 1e-9L * rate_hz;
  return frames <= 0.0L ? 0 : static_cast<std::uint64_t>(std::llround(frames));
}

}  // namespace fixwright::agent::iq
