#include "server/app/poller.hpp"

#include <exception>
#include <utility>

#include "server/base/log.hpp"
#include "server/store/database.hpp"

namespace fixwright::app {

Poller::Poller(Rules rules, std::function<void()> look)
    : rules_(std::move(rules)), look_(std::move(look)), thread_([this] { run(); }) {}

Poller::~Poller() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  stop_.notify_one();
  thread_.join();
}

void Poller::run() {
  std::unique_lock lock(mutex_);
  while (!stopping_) {
    lock.unlock();
    look();
    lock.lock();
    stop_.wait_for(lock, rules_.interval, [this] { return stopping_; });
  }
}

void Poller::look() {
  try {
    look_();
    told_.clear();
  } catch (const store::DatabaseAway&) {
  } catch (const std::exception& problem) {
    if (told_ != problem.what()) log::error("{}: {}", rules_.trouble, problem.what());
    told_ = problem.what();
  }
}

}  // namespace fixwright::app
