#include "server/model/alert_settings.hpp"

namespace fixwright {

bool WeeklyWindow::holds(TimePoint t) const {
  const auto day = std::chrono::floor<std::chrono::days>(t);
  const auto minute = std::chrono::floor<std::chrono::minutes>(t - day).count();
  const auto begins_on = [&](std::chrono::sys_days d) {
    return (days >> (std::chrono::weekday(d).iso_encoding() - 1) & 1) != 0;
  };
  if (from_minute < to_minute) {
    return begins_on(day) && minute >= from_minute && minute < to_minute;
  }
  if (minute >= from_minute && begins_on(day)) return true;
  return minute < to_minute && begins_on(day - std::chrono::days{1});
}

bool AlertMute::covers(const Alert& alert) const {
  if (alert.raised_at >= until) return false;
  if (kind && alert.rule != to_string(*kind)) return false;
  if (emitter && alert.emitter != emitter) return false;
  return !station || alert.station == station;
}

}  // namespace fixwright
