#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/geo.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

enum class AlertSeverity { notice, warning, urgent };
std::string_view to_string(AlertSeverity s);

/// What an alert rests on. A part that its rule has no use for is empty.
struct AlertEvidence {
  std::vector<StationId> stations;     // that heard the emitter, or that it is about; rising
  std::optional<GeoPoint> position;    // of the emitter
  std::optional<ErrorEllipse> region;  // about position
  std::optional<double> posterior;     // of the register's verdict, [0, 1]
  std::string would_change;            // one sentence: what would change the verdict
  friend bool operator==(const AlertEvidence&, const AlertEvidence&) = default;
};

/// Something a person should know. Evidence, never an accusation.
struct Alert {
  std::string id;    // from rule and subject: the same event raises the same alert
  std::string rule;  // new_unregistered_emitter, station_silent, ...
  AlertSeverity severity = AlertSeverity::notice;
  TimePoint raised_at;  // event time
  std::optional<EmitterKey> emitter;
  std::optional<StationId> station;
  std::string message;  // one line
  AlertEvidence evidence = {};
  std::optional<TimePoint> ended_at = {};  // of what it tells; nothing: it goes on
  bool muted = false;                      // nobody is to be told
};

}  // namespace fixwright
