#include "server/web/http/live_hub.hpp"

#include <utility>

namespace fixwright::web {

void LiveQueue::push(LiveText message) {
  if (end_ != End::none) return;
  if (waiting_.size() >= capacity_) {
    end(End::too_slow);
    return;
  }
  waiting_.push_back(std::move(message));
  wake_();
}

void LiveQueue::end(End why) {
  if (end_ != End::none) return;
  end_ = why;
  waiting_.clear();
  wake_();
}

LiveText LiveQueue::pop() {
  if (waiting_.empty()) return nullptr;
  LiveText front = std::move(waiting_.front());
  waiting_.pop_front();
  return front;
}

LiveHub::LiveHub(Metrics& metrics)
    : clients_(metrics.gauge("fixwright_web_live_browsers", "Browsers that listen to /live.")),
      messages_(metrics.counter("fixwright_web_live_messages", "Messages given to browsers.")),
      dropped_(metrics.counter("fixwright_web_live_dropped",
                               "Browsers dropped because they read too slowly.")) {}

void LiveHub::show_size() { clients_.set(static_cast<double>(queues_.size())); }

void LiveHub::join(const std::shared_ptr<LiveQueue>& queue) {
  queues_.insert(queue);
  show_size();
  if (closed_) {
    queue->end(LiveQueue::End::going_away);
    return;
  }
  queue->push(hello_message());
}

void LiveHub::leave(const std::shared_ptr<LiveQueue>& queue) {
  queues_.erase(queue);
  show_size();
}

void LiveHub::publish(const LiveText& message) {
  for (const auto& queue : queues_) {
    const bool was_open = queue->ended() == LiveQueue::End::none;
    queue->push(message);
    if (was_open && queue->ended() == LiveQueue::End::too_slow) {
      dropped_.add();
    } else {
      messages_.add();
    }
  }
}

void LiveHub::close() {
  closed_ = true;
  for (const auto& queue : queues_) queue->end(LiveQueue::End::going_away);
}

}  // namespace fixwright::web
