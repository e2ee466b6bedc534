#pragma once
/// Looks again and again whether a station's azimuths drifted off, and tells for each.

#include <functional>
#include <map>
#include <vector>

#include "server/app/poller.hpp"
#include "server/base/clock.hpp"
#include "server/calibrate/drift.hpp"
#include "server/store/database.hpp"

namespace fixwright::app {

struct DriftWatchRules {
  Duration interval = std::chrono::minutes{10};
  Duration window = std::chrono::hours{24 * 14};  // how far back it looks
  Duration settled = std::chrono::hours{1};       // an hour is read when it ended so long ago
  calibrate::DriftRules chart;
};

class DriftWatch {
 public:
  /// Looks at once and then at the interval. `tell` is called from its thread, for every station
  /// of which something can be said, changed or not.
  DriftWatch(const DriftWatchRules& rules, store::Database& database, const Clock& clock,
             std::function<void(CalibrationDrift)> tell);

 private:
  void look();
  void read_new_hours(TimePoint now);
  [[nodiscard]] CalibrationDrift begun_anew(StationId station) const;

  const DriftWatchRules rules_;
  store::Database& database_;
  const Clock& clock_;
  std::function<void(CalibrationDrift)> tell_;
  std::vector<AzimuthHour> hours_;  // of the window
  TimePoint read_to_;
  Poller poller_;  // last: it looks when all else is there
};

/// The hours of each station since the last accepted calibration of it: that begins a new chart.
std::map<StationId, std::vector<AzimuthHour>> hours_by_station(
    const std::vector<AzimuthHour>& hours, const Calibrations& accepted);

}  // namespace fixwright::app
