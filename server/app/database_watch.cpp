#include "server/app/database_watch.hpp"

#include <utility>

namespace fixwright::app {

DatabaseWatch::DatabaseWatch(std::function<bool()> answers, std::function<void(bool)> changed,
                             Duration interval)
    : answers_(std::move(answers)),
      changed_(std::move(changed)),
      poller_({interval, "the database is not asked whether it answers"}, [this] { look(); }) {}

void DatabaseWatch::look() {
  const bool now = answers_();
  if (before_ == now) return;
  before_ = now;
  changed_(now);
}

}  // namespace fixwright::app
