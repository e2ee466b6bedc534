#pragma once
/// The durable queue between a source and the uplink: append, send, forget when acknowledged.
/// What append() returned survives kill -9 and power loss (SQLite WAL, synchronous = FULL).

#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/base/time.hpp"

namespace fixwright::agent {

struct SpoolLimits {
  std::uint64_t max_bearings = 1'000'000;         // > 0
  Duration max_age = std::chrono::hours{7 * 24};  // since append, > 0
};

/// A bearing to be kept: its bytes as they will be sent, without the sequence.
struct SpoolItem {
  TimePoint start;
  std::string payload;
};

struct SpooledBearing {
  std::uint64_t sequence = 0;
  TimePoint start;
  std::string payload;
};

struct SpoolStatus {
  std::uint64_t last_sequence = 0;  // last given, 0 for none
  std::uint64_t waiting = 0;        // kept, not acknowledged
  std::uint64_t dropped = 0;        // by the limits, since the stream began
};

/// Safe from several threads; one agent a file.
class Spool {
 public:
  /// Opens or makes the file. A new file is a new stream with a random id. Fails with one line:
  /// in use by another agent, not a spool, of a newer version, not writable.
  static Result<std::unique_ptr<Spool>> open(const std::filesystem::path& path,
                                             const SpoolLimits& limits);
  Spool(const Spool&) = delete;
  Spool& operator=(const Spool&) = delete;
  ~Spool();

  /// 1 to 2^63 - 1.
  [[nodiscard]] std::uint64_t stream_id() const;
  [[nodiscard]] SpoolStatus status() const;
  /// Where the source was when the last bearings were appended; empty at first.
  [[nodiscard]] std::string source_mark() const;

  /// Numbers and keeps the items, and the mark with them, or nothing at all; then drops the
  /// oldest beyond the limits. \return the last sequence given, or why the disk refused.
  Result<std::uint64_t> append(std::span<const SpoolItem> items, TimePoint now,
                               const std::optional<std::string>& source_mark = std::nullopt);
  /// Up to `max` bearings with a greater sequence, in rising order.
  [[nodiscard]] Result<std::vector<SpooledBearing>> read_after(std::uint64_t sequence,
                                                               std::size_t max) const;
  /// Earliest start among the first ten thousand with a greater sequence; absent when there is
  /// none. Sequences follow time closely, so what is older further on is late anyway.
  [[nodiscard]] std::optional<TimePoint> oldest_start_after(std::uint64_t sequence) const;
  /// Forgets everything up to and including `sequence`.
  Result<std::uint64_t> forget_through(std::uint64_t sequence);
  /// A new stream id; what waits is numbered from 1. For a spool that was put back from a copy:
  /// its sequences were given before, to other bearings.
  Result<std::uint64_t> renew_stream();

 private:
  struct Impl;
  explicit Spool(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace fixwright::agent
