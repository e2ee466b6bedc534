#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "server/model/ids.hpp"

namespace fixwright {

enum class AlertSeverity { notice, warning, urgent };
std::string_view to_string(AlertSeverity s);

/// Something a person should know. Evidence, never an accusation.
struct Alert {
  std::string id;    // from rule and subject: the same event raises the same alert
  std::string rule;  // new_unregistered_emitter, station_silent, ...
  AlertSeverity severity = AlertSeverity::notice;
  TimePoint raised_at;  // event time
  std::optional<EmitterKey> emitter;
  std::optional<StationId> station;
  std::string message;  // one line
};

}  // namespace fixwright
