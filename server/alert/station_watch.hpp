#pragma once
/// Alerts about stations: silence, clock, overload, bias. Times are Heartbeat::received_at.

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "server/alert/event_book.hpp"
#include "server/alert/rules.hpp"
#include "server/model/calibration.hpp"
#include "server/model/station.hpp"

namespace fixwright::alert {

/// The name to print for a station.
using StationNames = std::function<std::string(StationId)>;

class StationWatch {
 public:
  /// \param book  outlives it.
  StationWatch(EventBook& book, StationNames names) : book_(book), names_(std::move(names)) {}

  /// Clock, load, and the end of a silence.
  std::vector<Alert> on_heartbeat(const AlertRules& rules, const Heartbeat& heartbeat);
  /// The beginning of silences.
  std::vector<Alert> on_tick(const AlertRules& rules, TimePoint now);
  std::vector<Alert> on_drift(const AlertRules& rules, const CalibrationDrift& drift);
  void expect(StationId station, TimePoint since);

 private:
  struct Seen {
    TimePoint last_heartbeat;
    std::optional<TimePoint> clock_bad_since;
    std::optional<TimePoint> loaded_since;
    std::uint64_t dropped = 0;
  };

  std::vector<Alert> check_clock(const AlertRules& rules, const Heartbeat& heartbeat, Seen& seen);
  std::vector<Alert> check_load(const AlertRules& rules, const Heartbeat& heartbeat, Seen& seen);

  EventBook& book_;
  StationNames names_;
  std::map<StationId, Seen> stations_;
};

}  // namespace fixwright::alert
