#pragma once
/// Asks the database every second whether it answers, and tells when that changes: readiness
/// must not wait for the next bearing to notice.

#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>

#include "server/base/time.hpp"

namespace fixwright::app {

class DatabaseWatch {
 public:
  /// \param answers  asks once; \param changed  is told the first answer and each change.
  DatabaseWatch(std::function<bool()> answers, std::function<void(bool)> changed,
                Duration interval = std::chrono::seconds{1});
  ~DatabaseWatch();
  DatabaseWatch(const DatabaseWatch&) = delete;
  DatabaseWatch& operator=(const DatabaseWatch&) = delete;

 private:
  void run();

  const std::function<bool()> answers_;
  const std::function<void(bool)> changed_;
  const Duration interval_;
  std::mutex mutex_;
  std::condition_variable stop_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace fixwright::app
