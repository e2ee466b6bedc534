#pragma once
/// When each kind of alert is raised, and how loudly.

#include <array>
#include <string>
#include <vector>

#include "server/model/alert_settings.hpp"

namespace fixwright::alert {

/// A registered transmitter that ought to be heard always, such as a beacon: its absence says that
/// something is wrong with the stations, or with it.
struct Reference {
  std::string licence;  // as in the register
  Duration missing_after = std::chrono::hours{1};
};

/// By AlertKind: all enabled, and as loud as the trade would have them.
std::array<AlertRule, kAlertKinds> usual_rules();

struct AlertRules {
  [[nodiscard]] const AlertRule& of(AlertKind kind) const {
    return kinds[static_cast<std::size_t>(kind)];
  }
  AlertRule& of(AlertKind kind) { return kinds[static_cast<std::size_t>(kind)]; }

  /// By AlertKind.
  std::array<AlertRule, kAlertKinds> kinds = usual_rules();

  /// Silence that counts. 2 s to 1 h.
  Duration silent_after = std::chrono::seconds{30};
  /// A clock that was bad this long counts: one bad heartbeat is no event. 0 to 1 h.
  Duration clock_bad_after = std::chrono::seconds{30};
  /// Past this error bound a clock is bad. 1 ms to 60 s. At 0.5 s a station starts no track.
  Duration max_clock_error = std::chrono::milliseconds{500};
  /// More bearings than this wait on a station's disk. 1 to 1e9.
  std::uint64_t overloaded_bearings = 1000;
  /// And have done so for this long: what an outage left is sent in less. 0 to 24 h.
  Duration overloaded_after = std::chrono::minutes{10};
  /// Least free share of a disk. 0.001 to 0.9.
  double disk_free_share = 0.1;
  /// The room that the database may take, bytes; 0: as much as it likes.
  double database_bytes = 0.0;
  /// Most of that room, and of its connections, that may be in use. 0.1 to 1.
  double database_used_share = 0.9;
  std::vector<Reference> references = {};
};

}  // namespace fixwright::alert
