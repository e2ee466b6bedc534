#pragma once
/// Hands each change to all who watch. A subscription that was destroyed is never called again.

#include <cstdint>
#include <functional>
#include <map>
#include <mutex>

namespace fixwright::app {

template <typename T>
class Hub {
 public:
  using Each = std::function<void(const T&)>;

  std::uint64_t add(Each each) {
    const std::lock_guard lock(mutex_);
    watchers_.emplace(++last_, std::move(each));
    return last_;
  }

  void remove(std::uint64_t id) {
    const std::lock_guard lock(mutex_);
    watchers_.erase(id);
  }

  /// Calls under the lock, so that remove() waits for a call under way: callees are quick and
  /// don't come back here.
  void publish(const T& value) {
    const std::lock_guard lock(mutex_);
    for (const auto& [id, each] : watchers_) each(value);
  }

 private:
  std::mutex mutex_;
  std::uint64_t last_ = 0;
  std::map<std::uint64_t, Each> watchers_;
};

/// Takes itself off the hub when it goes. `Base` is the port's own Subscription.
template <typename T, typename Base>
class HubSubscription final : public Base {
 public:
  HubSubscription(Hub<T>& hub, typename Hub<T>::Each each)
      : hub_(hub), id_(hub.add(std::move(each))) {}
  ~HubSubscription() override { hub_.remove(id_); }
  HubSubscription(const HubSubscription&) = delete;
  HubSubscription& operator=(const HubSubscription&) = delete;

 private:
  Hub<T>& hub_;
  std::uint64_t id_;
};

}  // namespace fixwright::app
