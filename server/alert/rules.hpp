#pragma once
/// What raises an alert, and how loudly.

#include "server/base/time.hpp"
#include "server/model/alert.hpp"

namespace fixwright::alert {

struct AlertRule {
  bool enabled = true;
  AlertSeverity severity = AlertSeverity::notice;
  /// An event that recurs within this of its last end, or of its last alert where it has no
  /// duration, is the same event: it revises its alert instead of raising another. 0 to 24 h.
  Duration hold_down = std::chrono::minutes{10};
};

struct AlertRules {
  /// A confirmed emitter is not found in the register.
  AlertRule new_unregistered_emitter{true, AlertSeverity::warning};
  /// A confirmed emitter is on a registered channel, at another place.
  AlertRule position_disagrees{true, AlertSeverity::notice};
  /// A confirmed emitter is at a registered place, beside the band of its entry.
  AlertRule off_frequency{true, AlertSeverity::notice};
  /// A confirmed emitter is as an entry says that has ended or not begun.
  AlertRule out_of_validity{true, AlertSeverity::notice};
  /// An emitter went to another place.
  AlertRule emitter_moved{true, AlertSeverity::notice};
  /// No heartbeat of a station that was heard before.
  AlertRule station_silent{true, AlertSeverity::warning};
  /// A station's clock is unsynchronised or its error bound too large.
  AlertRule clock_bad{true, AlertSeverity::warning};

  /// Silence that counts. 2 s to 1 h.
  Duration silent_after = std::chrono::seconds{30};
  /// A clock that was bad this long counts: one bad heartbeat is no event. 0 to 1 h.
  Duration clock_bad_after = std::chrono::seconds{30};
  /// Past this error bound a clock is bad. 1 ms to 60 s. At 0.5 s a station starts no track.
  Duration max_clock_error = std::chrono::milliseconds{500};
};

}  // namespace fixwright::alert
