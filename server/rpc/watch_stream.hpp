#pragma once
/// A watch call: first an answer of what is, then each change.

#include <grpcpp/support/server_callback.h>

#include <cstddef>
#include <deque>
#include <exception>
#include <functional>
#include <memory>
#include <mutex>
#include <utility>

#include "server/rpc/live_streams.hpp"
#include "server/rpc/query_port.hpp"
#include "server/rpc/workers.hpp"

namespace fixwright::rpc {

/// Nothing is missed between the first answer and the first change: the subscription begins
/// before the answer is read, so a change may come twice, with its revision. A watcher that
/// lets more than `max_queue` changes wait is ended with RESOURCE_EXHAUSTED; memory stays bounded.
template <typename Response>
class WatchStream final : public grpc::ServerWriteReactor<Response>,
                          public LiveStream,
                          public std::enable_shared_from_this<WatchStream<Response>> {
 public:
  using Push = std::function<void(Response)>;
  struct Source {
    std::function<std::unique_ptr<Subscription>(Push)> subscribe;
    std::function<void(const Push&)> first_answer;
  };

  WatchStream(Source source, std::size_t max_queue, Workers& workers, LiveStreams& streams)
      : source_(std::move(source)), max_queue_(max_queue), workers_(workers), streams_(streams) {}

  void start() {
    workers_.post([self = this->shared_from_this()] { self->begin(); });
  }

  void drain() override {
    const std::lock_guard lock(mutex_);
    end({grpc::StatusCode::UNAVAILABLE, "the server goes away; watch again"});
  }

  void OnWriteDone(bool ok) override {
    const std::lock_guard lock(mutex_);
    writing_ = false;
    if (!ok) end({grpc::StatusCode::CANCELLED, "the connection is gone"});
    write_next();
    finish_when_idle();
  }

  void OnCancel() override {
    const std::lock_guard lock(mutex_);
    end({grpc::StatusCode::CANCELLED, "the watcher is gone"});
  }

  void OnDone() override { streams_.remove(this); }

 private:
  void begin() {  // on a worker
    try {
      subscription_ = source_.subscribe([weak = this->weak_from_this()](Response change) {
        if (const auto self = weak.lock()) self->push(std::move(change));
      });
      source_.first_answer([this](Response response) {
        const std::lock_guard lock(mutex_);
        if (!ending_) first_.push_back(std::move(response));
      });
    } catch (const std::exception& away) {
      const std::lock_guard lock(mutex_);
      end({grpc::StatusCode::UNAVAILABLE, away.what()});
    }
    begun();
  }

  void begun() {
    bool ended = false;
    {
      const std::lock_guard lock(mutex_);
      beginning_ = false;
      ended = ending_;
      write_next();
    }
    if (ended) close_and_finish();
  }

  void push(Response change) {  // on the writer's thread
    const std::lock_guard lock(mutex_);
    if (ending_) return;
    if (changes_.size() >= max_queue_) {
      return end({grpc::StatusCode::RESOURCE_EXHAUSTED,
                  "the watcher reads too slowly; watch again and start over"});
    }
    changes_.push_back(std::move(change));
    write_next();
  }

  // With mutex_ held:
  void write_next() {
    if (writing_ || ending_ || beginning_) return;
    auto& queue = first_.empty() ? changes_ : first_;
    if (queue.empty()) return;
    current_ = std::move(queue.front());
    queue.pop_front();
    writing_ = true;
    this->StartWrite(&current_);
  }

  void end(grpc::Status status) {
    if (ending_) return;
    ending_ = true;
    status_ = std::move(status);
    first_.clear();
    changes_.clear();
    if (beginning_) return;  // begun() goes on
    workers_.post([self = this->shared_from_this()] { self->close_and_finish(); });
  }

  void finish_when_idle() {
    if (!closed_ || writing_ || finished_) return;
    finished_ = true;
    this->Finish(status_);
  }

  /// On a worker and without mutex_: the end of a subscription may wait for a push() that runs.
  void close_and_finish() {
    subscription_.reset();
    const std::lock_guard lock(mutex_);
    closed_ = true;
    finish_when_idle();
  }

  const Source source_;
  const std::size_t max_queue_;
  Workers& workers_;
  LiveStreams& streams_;
  std::unique_ptr<Subscription> subscription_;  // only workers touch it, one after the other

  std::mutex mutex_;
  std::deque<Response> first_;
  std::deque<Response> changes_;
  Response current_;
  bool beginning_ = true;
  bool writing_ = false;
  bool ending_ = false;
  bool closed_ = false;
  bool finished_ = false;
  grpc::Status status_;
};

}  // namespace fixwright::rpc
