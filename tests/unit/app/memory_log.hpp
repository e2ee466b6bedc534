#pragma once
/// A BearingLog in memory that keeps the port's promises, and can be away.

#include <algorithm>
#include <map>
#include <mutex>
#include <stdexcept>
#include <vector>

#include "server/model/bearing_log.hpp"

namespace fixwright {

class MemoryLog final : public BearingLog {
 public:
  AppendResult append(std::span<const Bearing> bearings) override {
    const std::lock_guard lock(mutex_);
    ++appends_;
    if (failures_ > 0) {
      --failures_;
      throw std::runtime_error("database away");
    }
    AppendResult result;
    for (const Bearing& bearing : bearings) {
      std::uint64_t& mark = marks_[{bearing.key.station, bearing.key.stream}];
      if (bearing.key.sequence <= mark) continue;
      mark = bearing.key.sequence;
      stored_.push_back(bearing);
      result.stored.push_back(bearing);
    }
    return result;
  }

  std::uint64_t mark(StationId station, StreamId stream) override {
    const std::lock_guard lock(mutex_);
    if (failures_ > 0) throw std::runtime_error("database away");
    return marks_[{station, stream}];
  }

  void read(TimePoint from, TimePoint to,
            const std::function<void(const Bearing&)>& each) override {
    std::vector<Bearing> sorted = stored();
    std::sort(sorted.begin(), sorted.end(), EventOrder{});
    for (const Bearing& bearing : sorted) {
      if (bearing.start >= from && bearing.start < to) each(bearing);
    }
  }

  /// The next `count` calls find the database away.
  void fail(int count) {
    const std::lock_guard lock(mutex_);
    failures_ = count;
  }
  [[nodiscard]] std::vector<Bearing> stored() {
    const std::lock_guard lock(mutex_);
    return stored_;
  }
  [[nodiscard]] int appends() {
    const std::lock_guard lock(mutex_);
    return appends_;
  }

 private:
  std::mutex mutex_;
  int failures_ = 0;
  int appends_ = 0;
  std::map<std::pair<StationId, StreamId>, std::uint64_t> marks_;
  std::vector<Bearing> stored_;
};

}  // namespace fixwright
