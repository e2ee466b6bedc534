#pragma once
/// The only way to ask what time it is.

#include <atomic>

#include "server/base/time.hpp"

namespace fixwright {

class Clock {
 public:
  Clock() = default;
  Clock(const Clock&) = delete;
  Clock& operator=(const Clock&) = delete;
  virtual ~Clock() = default;
  [[nodiscard]] virtual TimePoint now() const = 0;
};

/// The host's UTC.
class SystemClock final : public Clock {
 public:
  [[nodiscard]] TimePoint now() const override {
    return std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now());
  }
};

/// Stands still until told: for tests and replays. Safe to set from another thread.
class ManualClock final : public Clock {
 public:
  explicit ManualClock(TimePoint start) : now_(start.time_since_epoch().count()) {}
  [[nodiscard]] TimePoint now() const override { return TimePoint{Duration{now_.load()}}; }
  void set(TimePoint t) { now_ = t.time_since_epoch().count(); }
  void advance(Duration d) { now_ += d.count(); }

 private:
  std::atomic<Duration::rep> now_;
};

}  // namespace fixwright
