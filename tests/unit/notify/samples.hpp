#pragma once
/// Alerts to tell of.

#include "server/notify/notification.hpp"

namespace fixwright::notify::testing {

inline TimePoint noon() { return *parse_rfc3339("2031-05-04T12:00:00Z"); }

inline Surroundings around() {
  return {[](StationId id) { return id == 1 ? std::string("QUILL-POINT") : "MOSS-RIDGE"; },
          "https://osmere.example/"};
}

inline Alert unregistered() {
  Alert a;
  a.id = "new_unregistered_emitter/12/5";
  a.rule = "new_unregistered_emitter";
  a.severity = AlertSeverity::warning;
  a.raised_at = noon();
  a.emitter = EmitterKey{12, 5};
  a.message = "emitter 12/5 on 156.8000 MHz: not found in the register";
  a.evidence = {{1, 2},
                GeoPoint{41.25, -150.5},
                ErrorEllipse{900.0, 300.0, 30.0, 0.95},
                0.97,
                "an entry of the register at this place"};
  return a;
}

inline Alert silent() {
  Alert a;
  a.id = "station_silent/1/2031-05-04T12:00:00.000Z";
  a.rule = "station_silent";
  a.severity = AlertSeverity::urgent;
  a.raised_at = noon();
  a.station = 1;
  a.message = "station QUILL-POINT: no heartbeat since 2031-05-04T11:59:30.000Z";
  a.evidence.stations = {1};
  a.evidence.would_change = "its next heartbeat";
  return a;
}

inline Notification one(Alert alert) {
  const std::string key = "raised/duty/" + alert.id;
  return {key, noon() + std::chrono::seconds{5}, false, {std::move(alert)}};
}

}  // namespace fixwright::notify::testing
