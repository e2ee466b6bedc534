#include "server/ingest/rate_limiter.hpp"

#include <algorithm>

namespace fixwright::ingest {

RateLimiter::RateLimiter(double per_second, double window_s, const Clock& clock)
    : per_second_(per_second),
      capacity_(per_second * window_s),
      clock_(clock),
      tokens_(capacity_),
      filled_at_(clock.now()) {}

bool RateLimiter::take(std::uint32_t count) {
  const std::lock_guard lock(mutex_);
  const TimePoint now = clock_.now();
  const double elapsed_s = std::max(0.0, seconds(now - filled_at_));
  filled_at_ = now;
  tokens_ = std::min(capacity_, tokens_ + elapsed_s * per_second_);
  if (tokens_ < count) return false;
  tokens_ -= count;
  return true;
}

}  // namespace fixwright::ingest
