#include "station_agent/clock/clock_state.hpp"

#include <algorithm>

namespace fixwright::agent {

ClockReading reading_of(int returned, const timex& kernel) {
  const bool undisciplined = returned < 0 || returned == TIME_ERROR ||
                             (static_cast<unsigned>(kernel.status) & STA_UNSYNC) != 0U;
  if (undisciplined) return {ClockState::unsynchronised, kUnknownClockError};
  const Duration error = std::chrono::microseconds{std::max(kernel.maxerror, 0L)};
  const ClockState state = error > kHoldoverError ? ClockState::holdover : ClockState::synchronised;
  return {state, error, ClockReference::kernel};
}

ClockReading KernelClockMonitor::read() const {
  timex kernel{};  // modes 0: read only
  const int returned = adjtimex(&kernel);
  return reading_of(returned, kernel);
}

}  // namespace fixwright::agent
