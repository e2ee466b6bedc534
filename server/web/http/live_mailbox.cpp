#include "server/web/http/live_mailbox.hpp"

#include <utility>

namespace fixwright::web {

template <typename Map, typename Key, typename View>
void LiveMailbox::keep(Map& map, const Key& key, const View& view) {
  const std::lock_guard lock(mutex_);
  const bool known = map.find(key) != map.end();
  if (!known && emitters_.size() + alerts_.size() >= capacity_) {
    overflowed_ = true;
    return;
  }
  map.insert_or_assign(key, view);
}

void LiveMailbox::put(const EmitterView& view) { keep(emitters_, view.emitter.key, view); }

void LiveMailbox::put(const AlertView& view) { keep(alerts_, view.alert.id, view); }

Changes LiveMailbox::take() {
  const std::lock_guard lock(mutex_);
  Changes out;
  for (auto& [key, view] : std::exchange(emitters_, {})) out.emitters.push_back(view);
  for (auto& [id, view] : std::exchange(alerts_, {})) out.alerts.push_back(view);
  out.overflowed = std::exchange(overflowed_, false);
  return out;
}

}  // namespace fixwright::web
