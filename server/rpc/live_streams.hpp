#pragma once

#include <chrono>
#include <condition_variable>
#include <map>
#include <memory>
#include <mutex>

namespace fixwright::rpc {

/// A stream that stays open until one side ends it.
class LiveStream {
 public:
  LiveStream() = default;
  LiveStream(const LiveStream&) = delete;
  LiveStream& operator=(const LiveStream&) = delete;
  virtual ~LiveStream() = default;
  /// Come to an end soon, losing nothing: the server goes away.
  virtual void drain() = 0;
};

/// Owns the streams that are open, so that all can be drained and waited for.
class LiveStreams {
 public:
  /// While draining, a new stream is drained at once.
  void add(std::shared_ptr<LiveStream> stream);
  void remove(const LiveStream* stream);
  void drain();
  /// \return whether all had ended in time.
  bool wait_until_none(std::chrono::nanoseconds patience);

 private:
  std::mutex mutex_;
  std::condition_variable none_;
  std::map<const LiveStream*, std::shared_ptr<LiveStream>> streams_;
  bool draining_ = false;
};

}  // namespace fixwright::rpc
