#include "server/alert/rules.hpp"

namespace fixwright::alert {

namespace {

AlertSeverity usual_severity(AlertKind kind) {
  switch (kind) {
    case AlertKind::database_low:
    case AlertKind::disk_low:
      return AlertSeverity::urgent;
    case AlertKind::new_unregistered_emitter:
    case AlertKind::watched_returned:
    case AlertKind::reference_missing:
    case AlertKind::station_silent:
    case AlertKind::clock_bad:
    case AlertKind::station_biased:
    case AlertKind::station_overloaded:
      return AlertSeverity::warning;
    default:
      return AlertSeverity::notice;
  }
}

}  // namespace

std::array<AlertRule, kAlertKinds> usual_rules() {
  std::array<AlertRule, kAlertKinds> all;
  for (std::size_t k = 0; k < all.size(); ++k) {
    all[k].severity = usual_severity(static_cast<AlertKind>(k));
  }
  return all;
}

}  // namespace fixwright::alert
