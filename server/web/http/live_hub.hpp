#pragma once
/// The browsers that listen to /live. Everything here belongs to the one I/O thread.

#include <deque>
#include <functional>
#include <memory>
#include <set>

#include "server/base/metrics.hpp"
#include "server/web/http/live_message.hpp"

namespace fixwright::web {

/// What waits for one browser. `wake` is called after each push and on the end.
class LiveQueue {
 public:
  LiveQueue(std::size_t capacity, std::function<void()> wake)
      : capacity_(capacity), wake_(std::move(wake)) {}

  enum class End {
    none,
    too_slow,    // it had more waiting than the capacity
    going_away,  // this server stops
    gone,        // the browser left
  };

  /// A full queue ends with too_slow and forgets what it holds.
  void push(LiveText message);
  void end(End why);
  [[nodiscard]] End ended() const { return end_; }
  /// The next message; null when none waits.
  [[nodiscard]] LiveText pop();

 private:
  const std::size_t capacity_;
  std::function<void()> wake_;
  std::deque<LiveText> waiting_;
  End end_ = End::none;
};

class LiveHub {
 public:
  explicit LiveHub(Metrics& metrics);

  /// The queue is in until `leave`; it begins with the hello message.
  void join(const std::shared_ptr<LiveQueue>& queue);
  void leave(const std::shared_ptr<LiveQueue>& queue);
  void publish(const LiveText& message);
  /// Ends every queue, and whatever joins later.
  void close();
  [[nodiscard]] bool anyone() const { return !queues_.empty(); }

 private:
  void show_size();

  std::set<std::shared_ptr<LiveQueue>> queues_;
  bool closed_ = false;
  Gauge& clients_;
  Counter& messages_;
  Counter& dropped_;
};

}  // namespace fixwright::web
