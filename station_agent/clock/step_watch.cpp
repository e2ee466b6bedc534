#include "station_agent/clock/step_watch.hpp"

#include <ctime>

namespace fixwright::agent {

namespace {

constexpr Duration kLeastStep = std::chrono::milliseconds{10};
constexpr Duration kCloseEnough = std::chrono::milliseconds{1};
constexpr int kTries = 5;

Duration read_clock(clockid_t id) {
  timespec t{};
  clock_gettime(id, &t);
  return std::chrono::seconds{t.tv_sec} + Duration{t.tv_nsec};
}

}  // namespace

HostTimes read_host_times() {
  HostTimes best{};
  Duration least = Duration::max();
  for (int i = 0; i < kTries && least > kCloseEnough; ++i) {
    const Duration before = read_clock(CLOCK_BOOTTIME);
    const TimePoint utc{read_clock(CLOCK_REALTIME)};
    const Duration width = read_clock(CLOCK_BOOTTIME) - before;
    if (width >= least) continue;
    least = width;
    best = {utc, before + width / 2};
  }
  return best;
}

std::optional<Duration> StepWatch::look(const HostTimes& times) {
  const Duration difference = times.utc.time_since_epoch() - times.since_boot;
  const Duration step = difference_ ? difference - *difference_ : Duration{0};
  const bool stepped = step >= kLeastStep || step <= -kLeastStep;
  if (!difference_ || stepped) difference_ = difference;
  if (!stepped) return std::nullopt;
  return step;
}

}  // namespace fixwright::agent
