#include "server/app/bearing_writer.hpp"

#include <algorithm>
#include <exception>

#include "server/base/log.hpp"

namespace fixwright::app {

BearingWriter::BearingWriter(BearingLog& log, const WriterRules& rules, Metrics& metrics,
                             std::function<void(std::vector<Bearing>)> stored)
    : log_(log),
      rules_(rules),
      commits_(metrics.counter("fixwright_commits", "Commits of bearings.")),
      committed_(metrics.counter("fixwright_bearings_stored", "Bearings made durable.")),
      stored_(std::move(stored)),
      thread_([this] { run(); }) {}

BearingWriter::~BearingWriter() {
  if (thread_.joinable()) stop();
}

void BearingWriter::push(PendingBatch batch) {
  {
    const std::lock_guard lock(mutex_);
    queue_.push_back(std::move(batch));
  }
  changed_.notify_one();
}

bool BearingWriter::stalled() const {
  const std::lock_guard lock(mutex_);
  return stalled_;
}

void BearingWriter::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  changed_.notify_one();
  thread_.join();
}

void BearingWriter::run() {
  for (;;) {
    std::vector<PendingBatch> batches = next_commit();
    if (batches.empty() || !commit(batches)) return;
  }
}

/// Waits for work; whole batches up to max_commit bearings. Empty: asked to stop, queue done.
std::vector<PendingBatch> BearingWriter::next_commit() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return stopping_ || !queue_.empty(); });
  std::vector<PendingBatch> batches;
  std::size_t bearings = 0;
  while (!queue_.empty() && (batches.empty() || bearings < rules_.max_commit)) {
    bearings += queue_.front().bearings.size();
    batches.push_back(std::move(queue_.front()));
    queue_.pop_front();
  }
  return batches;
}

/// \return false when stopped while the database was away: nothing was promised then.
bool BearingWriter::commit(std::vector<PendingBatch>& batches) {
  std::vector<Bearing> all;
  for (PendingBatch& batch : batches) {
    std::move(batch.bearings.begin(), batch.bearings.end(), std::back_inserter(all));
  }
  Duration wait = rules_.first_retry;
  while (!all.empty() && !append(all)) {
    if (!wait_before_retry(wait)) return false;
  }
  for (PendingBatch& batch : batches) batch.done();
  return true;
}

bool BearingWriter::append(const std::vector<Bearing>& bearings) {
  try {
    AppendResult result = log_.append(bearings);
    commits_.add();
    committed_.add(result.stored.size());
    {
      const std::lock_guard lock(mutex_);
      stalled_ = false;
    }
    stored_(std::move(result.stored));
    return true;
  } catch (const std::exception& away) {
    log::warn("store: {} bearings wait, not acknowledged: {}", bearings.size(), away.what());
    return false;
  }
}

/// Sleeps, longer each time. \return false when asked to stop.
bool BearingWriter::wait_before_retry(Duration& wait) {
  std::unique_lock lock(mutex_);
  stalled_ = true;
  if (changed_.wait_for(lock, wait, [this] { return stopping_; })) return false;
  wait = std::min(wait * 2, rules_.last_retry);
  return true;
}

}  // namespace fixwright::app
