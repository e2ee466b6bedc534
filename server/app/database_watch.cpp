#include "server/app/database_watch.hpp"

#include <optional>

namespace fixwright::app {

DatabaseWatch::DatabaseWatch(std::function<bool()> answers, std::function<void(bool)> changed,
                             Duration interval)
    : answers_(std::move(answers)),
      changed_(std::move(changed)),
      interval_(interval),
      thread_([this] { run(); }) {}

DatabaseWatch::~DatabaseWatch() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  stop_.notify_one();
  thread_.join();
}

void DatabaseWatch::run() {
  std::optional<bool> before;
  std::unique_lock lock(mutex_);
  while (!stopping_) {
    lock.unlock();
    const bool now = answers_();
    if (before != now) changed_(now);
    before = now;
    lock.lock();
    stop_.wait_for(lock, interval_, [this] { return stopping_; });
  }
}

}  // namespace fixwright::app
