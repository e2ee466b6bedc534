#pragma once
/// The channels on which something was heard lately.

#include <cstdint>
#include <deque>
#include <optional>
#include <vector>

#include "server/base/time.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent::listen {

/// How one channel stands, by its last bearings.
struct LiveChannel {
  char letter = '1';  // its mark in the rose: 1 to 9, then a to z; '+' where those are spent
  SourceBearing last;
  std::uint64_t bearings = 0;
  TimePoint heard_at{};  // when the last one came
  /// Circular standard deviation of the last bearings' azimuths, degrees: sqrt(-2 ln R) with R
  /// the length of the mean of their unit vectors (K. V. Mardia, P. E. Jupp, Directional
  /// Statistics, 2000, 2.3.10; from memory). Absent below three bearings.
  std::optional<double> spread_deg;
};

class LiveBoard {
 public:
  /// \param keep  a channel is gone when nothing was heard on it for so long.
  explicit LiveBoard(Duration keep = std::chrono::seconds{20}) : keep_(keep) {}

  /// A bearing joins the nearest channel within half its bandwidth (3 to 100 kHz).
  /// \param now  when it came, which for recordings is not when it was taken.
  void add(const SourceBearing& bearing, TimePoint now);
  /// By rising frequency.
  [[nodiscard]] std::vector<LiveChannel> channels(TimePoint now);

 private:
  struct Entry {
    LiveChannel channel;
    std::deque<double> azimuths_deg;
  };
  Entry& entry_of(const SourceBearing& bearing);
  [[nodiscard]] char free_letter() const;
  void forget(TimePoint now);

  Duration keep_;
  std::vector<Entry> entries_;
};

}  // namespace fixwright::agent::listen
