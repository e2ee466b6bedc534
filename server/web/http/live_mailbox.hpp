#pragma once
/// Changes on their way from the writer's thread to the browsers. Only the latest of each
/// emitter and alert waits, so a burst costs one message, and the writer never waits.

#include <map>
#include <mutex>
#include <string>
#include <vector>

#include "server/model/views.hpp"

namespace fixwright::web {

struct Changes {
  std::vector<EmitterView> emitters;
  std::vector<AlertView> alerts;
  bool overflowed = false;  // some were dropped: browsers must load everything again
  [[nodiscard]] bool empty() const { return emitters.empty() && alerts.empty() && !overflowed; }
};

/// Safe from any thread.
class LiveMailbox {
 public:
  /// \param capacity  emitters and alerts that may wait at once.
  explicit LiveMailbox(std::size_t capacity) : capacity_(capacity) {}

  void put(const EmitterView& view);
  void put(const AlertView& view);
  /// What has come since the last call, keys rising.
  [[nodiscard]] Changes take();

 private:
  template <typename Map, typename Key, typename View>
  void keep(Map& map, const Key& key, const View& view);

  const std::size_t capacity_;
  std::mutex mutex_;
  std::map<EmitterKey, EmitterView> emitters_;
  std::map<std::string, AlertView> alerts_;
  bool overflowed_ = false;
};

}  // namespace fixwright::web
