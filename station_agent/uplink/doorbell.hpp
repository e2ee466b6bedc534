#pragma once
/// Wakes the uplink: something was appended, came in, or is to stop.

#include <condition_variable>
#include <mutex>

#include "server/base/time.hpp"

namespace fixwright::agent {

class Doorbell {
 public:
  void ring() {
    const std::lock_guard hold(mutex_);
    rung_ = true;
    bell_.notify_all();
  }
  /// Returns at the next ring, at once if it rang since the last wait, or after `patience`.
  void wait(Duration patience) {
    std::unique_lock hold(mutex_);
    bell_.wait_for(hold, patience, [this] { return rung_; });
    rung_ = false;
  }

 private:
  std::mutex mutex_;
  std::condition_variable bell_;
  bool rung_ = false;
};

}  // namespace fixwright::agent
