#pragma once

#include <cstdint>
#include <mutex>

#include "server/base/clock.hpp"

namespace fixwright::ingest {

/// A token bucket: `per_second` on average, `per_second * window_s` at once. One a station, not
/// one a session, so that reconnecting wins nothing. Safe from any thread. A clock that steps
/// back gives no tokens and takes none.
class RateLimiter {
 public:
  /// \param per_second  1 and up.
  /// \param window_s    seconds over which the rate is averaged; Limits says 10.
  RateLimiter(double per_second, double window_s, const Clock& clock);

  /// Takes `count` tokens, or none and returns false.
  bool take(std::uint32_t count = 1);

  [[nodiscard]] double per_second() const { return per_second_; }

 private:
  double per_second_;
  double capacity_;
  const Clock& clock_;
  std::mutex mutex_;
  double tokens_;
  TimePoint filled_at_;
};

}  // namespace fixwright::ingest
