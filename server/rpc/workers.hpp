#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace fixwright::rpc {

/// Threads for calls that may wait for a database: gRPC's own threads must not wait, or health
/// checks and heartbeats stop with them. Runs all that was posted before it is destroyed.
class Workers {
 public:
  /// \param max_waiting  tasks that may wait before try_post() declines one.
  Workers(int threads, std::size_t max_waiting);
  Workers(const Workers&) = delete;
  Workers& operator=(const Workers&) = delete;
  ~Workers();

  /// Always takes the task: for the end of a stream, which must not be lost. Tasks throw nothing.
  void post(std::function<void()> task);
  /// \return false when too many wait already; the task is then not run.
  bool try_post(std::function<void()> task);

 private:
  void run();

  const std::size_t max_waiting_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::function<void()>> waiting_;
  bool stopping_ = false;
  std::vector<std::thread> threads_;
};

}  // namespace fixwright::rpc
