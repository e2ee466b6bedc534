#include "server/rpc/live_streams.hpp"

#include <utility>

namespace fixwright::rpc {

void LiveStreams::add(std::shared_ptr<LiveStream> stream) {
  bool late = false;
  {
    const std::lock_guard lock(mutex_);
    late = draining_;
    streams_.emplace(stream.get(), stream);
  }
  if (late) stream->drain();
}

void LiveStreams::remove(const LiveStream* stream) {
  std::shared_ptr<LiveStream> last;  // destroyed after the lock is gone
  const std::lock_guard lock(mutex_);
  const auto found = streams_.find(stream);
  if (found == streams_.end()) return;
  last = std::move(found->second);
  streams_.erase(found);
  if (streams_.empty()) none_.notify_all();
}

void LiveStreams::drain() {
  std::map<const LiveStream*, std::shared_ptr<LiveStream>> open;
  {
    const std::lock_guard lock(mutex_);
    draining_ = true;
    open = streams_;
  }
  for (const auto& [key, stream] : open) stream->drain();
}

bool LiveStreams::wait_until_none(std::chrono::nanoseconds patience) {
  std::unique_lock lock(mutex_);
  return none_.wait_for(lock, patience, [this] { return streams_.empty(); });
}

}  // namespace fixwright::rpc
