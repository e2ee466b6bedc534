#pragma once
/// What raises an alert and how loudly, as configured, and what people change of it while the
/// server runs.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/geo.hpp"
#include "server/model/alert.hpp"

namespace fixwright {

enum class AlertKind {
  new_unregistered_emitter,  // a confirmed emitter is not found in the register
  position_disagrees,        // it is on a registered channel, at another place
  off_frequency,             // it is at a registered place, beside the band of its entry
  out_of_validity,           // it is as an entry says that has ended or not begun
  emitter_moved,             // it went to another place
  watched_returned,          // one that a person watches is heard again
  watched_activity,          // one is heard in a watched area, at its hours
  reference_missing,         // a transmitter that ought to be heard always is not
  station_silent,            // no heartbeat of a station
  clock_bad,                 // a station's clock is unsynchronised or its error bound too large
  station_biased,            // a station's bearings drifted off
  station_overloaded,        // a station has more bearings than it gets rid of
  database_low,              // the database nears its room or its connections
  disk_low,                  // a disk is nearly full
};
inline constexpr std::size_t kAlertKinds = 14;
std::string_view to_string(AlertKind k);

struct AlertRule {
  bool enabled = true;
  AlertSeverity severity = AlertSeverity::notice;
  /// An event that recurs within this of its last end, or of its last alert where it has no
  /// duration, is the same event: it revises its alert instead of raising another. 0 to 24 h.
  Duration hold_down = std::chrono::minutes{10};
  friend bool operator==(const AlertRule&, const AlertRule&) = default;
};

/// Hours of the week, UTC.
struct WeeklyWindow {
  std::uint8_t days = 0x7F;  // bit 0 is Monday: the days on which it begins
  int from_minute = 0;       // of the day, [0, 1440)
  int to_minute = 0;         // not after from_minute: of the next day

  [[nodiscard]] bool holds(TimePoint t) const;
  friend bool operator==(const WeeklyWindow&, const WeeklyWindow&) = default;
};

/// Where and when any emitter that is heard is worth an alert.
struct WatchedArea {
  std::string name;  // 1 to 40 characters, no '/'; unique
  GeoPoint centre;
  double radius_m = 1000.0;  // 1 to 1e6
  WeeklyWindow hours;
  double low_hz = 0.0;  // [low, high)
  double high_hz = 1e12;
  std::string by;  // who set it
  friend bool operator==(const WatchedArea&, const WatchedArea&) = default;
};

/// Alerts that nobody is told of for a while; they are raised and kept all the same. A part that
/// is not given covers all.
struct AlertMute {
  std::int64_t id = 0;  // given by the store
  std::optional<AlertKind> kind;
  std::optional<EmitterKey> emitter;
  std::optional<StationId> station;
  TimePoint until;  // alerts raised before it
  std::string by;
  std::string note;

  [[nodiscard]] bool covers(const Alert& alert) const;
  friend bool operator==(const AlertMute&, const AlertMute&) = default;
};

/// What people set while the server runs.
struct AlertSettings {
  std::map<AlertKind, AlertRule> rules;  // over the configured ones
  std::vector<WatchedArea> areas;        // by name
  std::vector<AlertMute> mutes;          // by id
  friend bool operator==(const AlertSettings&, const AlertSettings&) = default;
};

}  // namespace fixwright
