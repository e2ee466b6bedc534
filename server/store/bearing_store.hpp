#pragma once
/// The durable BearingLog: table `bearing`, partitioned by day, and table `stream_mark`.

#include <memory>

#include "server/model/bearing_log.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// Exactly once without a unique index: one transaction locks the marks of the batch's streams
/// (in rising key order, so that two batches never wait for each other), drops what is not
/// newer, copies the rest in, counts it in its hours, moves the marks, commits. Resent after a
/// broken connection, the marks tell what had arrived.
///
/// A bearing of a station that stands still is stored without a position and read back with its
/// station's registered one. A bearing of any day is taken: the day's partition is made first.
/// Times are kept to the nanosecond. Safe from any thread; appends go one at a time.
class BearingStore final : public BearingLog {
 public:
  explicit BearingStore(Database& database);
  ~BearingStore() override;

  /// Throws DatabaseAway (call again) or DatabaseRefused; nothing was stored then, or all.
  AppendResult append(std::span<const Bearing> bearings) override;

  std::uint64_t mark(StationId station, StreamId stream) override;

  /// Uses a connection of its own and little memory; `each` may take its time, and its
  /// exceptions pass through.
  void read(TimePoint from, TimePoint to, const std::function<void(const Bearing&)>& each) override;

  /// Makes the partitions of the days from `from` to `to`, both included, before bearings come.
  void make_days(TimePoint from, TimePoint to);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace fixwright::store
