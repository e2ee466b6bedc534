#pragma once
/// The server's channel plan, on its way from the uplink to a source that listens by it.

#include <cstdint>
#include <mutex>
#include <utility>
#include <vector>

namespace fixwright::agent {

struct PlannedChannel {
  double frequency_hz = 0.0;  // its middle, > 0
  double bandwidth_hz = 0.0;  // whole width, > 0
  friend bool operator==(const PlannedChannel&, const PlannedChannel&) = default;
};

/// One thread writes, another looks now and then whether there is something new.
class PlanBoard {
 public:
  void post(std::vector<PlannedChannel> plan) {
    const std::lock_guard hold(mutex_);
    if (version_ > 0 && plan == plan_) return;
    plan_ = std::move(plan);
    ++version_;
  }
  /// 0 until a plan was posted; another number with each other plan.
  [[nodiscard]] std::uint64_t version() const {
    const std::lock_guard hold(mutex_);
    return version_;
  }
  [[nodiscard]] std::vector<PlannedChannel> plan() const {
    const std::lock_guard hold(mutex_);
    return plan_;
  }

 private:
  mutable std::mutex mutex_;
  std::vector<PlannedChannel> plan_;
  std::uint64_t version_ = 0;
};

}  // namespace fixwright::agent
