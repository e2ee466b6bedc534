#pragma once
/// The marks of people on emitters, as last read. Safe from any thread.

#include <map>
#include <mutex>
#include <utility>

#include "server/model/decision.hpp"
#include "server/model/views.hpp"

namespace fixwright::app {

class MarksBoard {
 public:
  void replace(std::map<EmitterKey, EmitterMarks> marks) {
    const std::lock_guard lock(mutex_);
    marks_ = std::move(marks);
  }

  [[nodiscard]] bool is_watched(EmitterKey key) const {
    const std::lock_guard lock(mutex_);
    const auto found = marks_.find(key);
    return found != marks_.end() && found->second.watched;
  }

  /// Puts the name and the rest beside what is computed.
  void mark(EmitterView& view) const {
    const std::lock_guard lock(mutex_);
    const auto found = marks_.find(view.emitter.key);
    if (found == marks_.end()) return;
    view.name = found->second.name;
    view.watched = found->second.watched;
  }

 private:
  mutable std::mutex mutex_;
  std::map<EmitterKey, EmitterMarks> marks_;
};

}  // namespace fixwright::app
