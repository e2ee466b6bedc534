#include "server/alert/delivery_policy.hpp"

#include <algorithm>
#include <cmath>

namespace fixwright::alert {

namespace {

using std::chrono::minutes;

constexpr double kFirstRetry_s = 10.0;
constexpr double kLongestRetry_s = 3600.0;

TimePoint day_of(TimePoint local) { return std::chrono::floor<std::chrono::days>(local); }

bool is_for(const DeliveryRule& rule, const Alert& alert) {
  if (alert.muted || alert.severity < rule.least) return false;
  return rule.kinds.empty() || std::any_of(rule.kinds.begin(), rule.kinds.end(),
                                           [&](AlertKind k) { return alert.rule == to_string(k); });
}

/// The end of the stretch of `length` that holds t; stretches begin at 1970.
TimePoint end_of_stretch(TimePoint t, Duration length) {
  const auto since = t.time_since_epoch();
  return TimePoint{(since / length + 1) * length};
}

TimePoint due(const DeliveryRule& rule, const Alert& alert, TimePoint now) {
  TimePoint at = now + rule.escalate_after.value_or(Duration{});
  if (alert.severity == AlertSeverity::urgent) return at;
  if (rule.gather > Duration{}) at = end_of_stretch(at, rule.gather);
  return rule.quiet && rule.quiet->hold(at) ? rule.quiet->end(at) : at;
}

}  // namespace

bool QuietHours::hold(TimePoint t) const {
  const TimePoint local = t + utc_offset;
  const auto minute = std::chrono::floor<minutes>(local - day_of(local)).count();
  if (from_minute < to_minute) return minute >= from_minute && minute < to_minute;
  return minute >= from_minute || minute < to_minute;
}

TimePoint QuietHours::end(TimePoint t) const {
  const TimePoint local = t + utc_offset;
  TimePoint end = day_of(local) + minutes{to_minute};
  if (end <= local) end += std::chrono::days{1};
  return end - utc_offset;
}

std::vector<Delivery> plan(const Alert& alert, const std::vector<DeliveryRule>& rules,
                           TimePoint now) {
  std::vector<Delivery> planned;
  for (const DeliveryRule& rule : rules) {
    if (!is_for(rule, alert)) continue;
    const auto occasion =
        rule.escalate_after ? DeliveryOccasion::escalated : DeliveryOccasion::raised;
    const bool gathered = rule.gather > Duration{} && alert.severity != AlertSeverity::urgent;
    planned.push_back({alert.id, rule.destination, occasion, due(rule, alert, now), gathered});
  }
  return planned;
}

Duration retry_after(int tries, double dice) {
  const double doubled = kFirstRetry_s * std::exp2(std::min(tries - 1, 20));
  return from_seconds(std::min(doubled, kLongestRetry_s) * (0.75 + 0.5 * dice));
}

}  // namespace fixwright::alert
