#pragma once
/// Who is told of an alert, and when. Pure.

#include <optional>
#include <string>
#include <vector>

#include "server/model/alert_settings.hpp"
#include "server/model/delivery.hpp"

namespace fixwright::alert {

/// Hours of every day in which a destination is left alone.
struct QuietHours {
  int from_minute = 0;    // of the day, [0, 1440)
  int to_minute = 0;      // not after from_minute: of the next day
  Duration utc_offset{};  // of the destination's wall clock, -14 to +14 h
  [[nodiscard]] bool hold(TimePoint t) const;
  /// \pre hold(t). The first moment at which they no longer do.
  [[nodiscard]] TimePoint end(TimePoint t) const;
};

struct DeliveryRule {
  std::string destination;
  AlertSeverity least = AlertSeverity::notice;  // quieter alerts are not for it
  std::vector<AlertKind> kinds;                 // none: all
  std::optional<QuietHours> quiet;              // urgent alerts don't wait for their end
  /// Alerts of one stretch of this length come together at its end; 0: each at once. Urgent ones
  /// don't wait.
  Duration gather{};
  /// Told only of what nobody has acknowledged for so long, and that still goes on.
  std::optional<Duration> escalate_after;
};

/// Of an alert that is new. Nobody is told of a muted one.
std::vector<Delivery> plan(const Alert& alert, const std::vector<DeliveryRule>& rules,
                           TimePoint now);

/// After so many failed tries (1 and up): twice as long each time, 10 s to an hour.
/// \param dice  [0, 1): up to a quarter more or less, so that many do not come at once.
Duration retry_after(int tries, double dice);

/// Whoever could not be told of an alert within a day is told no more.
inline constexpr Duration kGivesUpAfter = std::chrono::hours{24};

}  // namespace fixwright::alert
