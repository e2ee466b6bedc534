#include "server/rpc/workers.hpp"

#include <utility>

namespace fixwright::rpc {

Workers::Workers(int threads, std::size_t max_waiting) : max_waiting_(max_waiting) {
  for (int i = 0; i < threads; ++i) threads_.emplace_back([this] { run(); });
}

Workers::~Workers() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  changed_.notify_all();
  for (auto& thread : threads_) thread.join();
}

void Workers::post(std::function<void()> task) {
  {
    const std::lock_guard lock(mutex_);
    waiting_.push_back(std::move(task));
  }
  changed_.notify_one();
}

bool Workers::try_post(std::function<void()> task) {
  {
    const std::lock_guard lock(mutex_);
    if (waiting_.size() >= max_waiting_) return false;
    waiting_.push_back(std::move(task));
  }
  changed_.notify_one();
  return true;
}

void Workers::run() {
  for (;;) {
    std::function<void()> task;
    {
      std::unique_lock lock(mutex_);
      changed_.wait(lock, [this] { return stopping_ || !waiting_.empty(); });
      if (waiting_.empty()) return;
      task = std::move(waiting_.front());
      waiting_.pop_front();
    }
    task();
  }
}

}  // namespace fixwright::rpc
