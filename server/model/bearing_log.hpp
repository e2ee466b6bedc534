#pragma once
/// The port between ingest and the pipeline: append a batch, read from a time.

#include <functional>
#include <span>
#include <vector>

#include "server/model/bearing.hpp"

namespace fixwright {

/// What an append did: how far each stream is now safe. A bearing at or below its stream's
/// mark was there before and is not stored again.
struct StreamMark {
  StationId station = 0;
  StreamId stream = 0;
  std::uint64_t sequence = 0;  // highest that is durable
  friend bool operator==(const StreamMark&, const StreamMark&) = default;
};

struct AppendResult {
  std::vector<StreamMark> marks;  // of every stream in the batch, after it
  std::vector<Bearing> stored;    // those that are new, in the order given
};

class BearingLog {
 public:
  BearingLog() = default;
  BearingLog(const BearingLog&) = delete;
  BearingLog& operator=(const BearingLog&) = delete;
  virtual ~BearingLog() = default;

  /// Durable when it returns; idempotent on (station, stream, sequence). Sequences of one
  /// stream come in rising order, from one caller. Throws when the world is at fault
  /// (database away): nothing was promised then, call again with the same bearings.
  virtual AppendResult append(std::span<const Bearing> bearings) = 0;

  /// The last durable sequence of a stream; 0 for one never seen.
  virtual std::uint64_t mark(StationId station, StreamId stream) = 0;

  /// Every bearing that starts in [from, to), in EventOrder, handed out one by one.
  virtual void read(TimePoint from, TimePoint to,
                    const std::function<void(const Bearing&)>& each) = 0;
};

}  // namespace fixwright
