#pragma once
/// Makes batches of all stations durable, many in one commit, then tells each station and the
/// pipeline. One thread; while the database is away it keeps what it holds and tries again.

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

#include "server/base/metrics.hpp"
#include "server/model/bearing_log.hpp"

namespace fixwright::app {

/// Bearings of one session that wait for a commit. An empty batch is done when those before
/// it are, which keeps acknowledgements in order.
struct PendingBatch {
  std::vector<Bearing> bearings;
  std::function<void()> done;  // after the commit, on the writer's thread
};

struct WriterRules {
  std::size_t max_commit = 10'000;  // bearings in one commit
  Duration first_retry = std::chrono::milliseconds{200};
  Duration last_retry = std::chrono::seconds{5};
};

class BearingWriter {
 public:
  /// `stored` gets each commit's new bearings before any done() of that commit.
  BearingWriter(BearingLog& log, const WriterRules& rules, Metrics& metrics,
                std::function<void(std::vector<Bearing>)> stored);
  ~BearingWriter();
  BearingWriter(const BearingWriter&) = delete;
  BearingWriter& operator=(const BearingWriter&) = delete;

  void push(PendingBatch batch);
  /// True while a commit is being retried: results must not conclude from silence then.
  [[nodiscard]] bool stalled() const;
  /// Commits what is queued, unless the database is away, and stops. Call once.
  void stop();

 private:
  void run();
  std::vector<PendingBatch> next_commit();
  bool commit(std::vector<PendingBatch>& batches);
  bool append(const std::vector<Bearing>& bearings);
  bool wait_before_retry(Duration& wait);

  BearingLog& log_;
  const WriterRules rules_;
  Counter& commits_;
  Counter& committed_;
  std::function<void(std::vector<Bearing>)> stored_;

  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<PendingBatch> queue_;
  bool stopping_ = false;
  bool stalled_ = false;
  std::thread thread_;
};

}  // namespace fixwright::app
