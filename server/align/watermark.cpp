#include "server/align/watermark.hpp"

#include <algorithm>
#include <optional>

namespace fixwright::align {

Watermark::Watermark(const AlignRules& rules)
    : slack_(from_seconds(rules.slack_s)),
      idle_after_(from_seconds(rules.idle_s)),
      all_idle_behind_(from_seconds(rules.all_idle_s)) {}

void Watermark::heartbeat(const Heartbeat& heartbeat) {
  now_ = std::max(now_, heartbeat.received_at);
  const TimePoint low = std::min(heartbeat.low_watermark, heartbeat.received_at);
  stations_[heartbeat.station] = {low - heartbeat.clock_error - slack_, heartbeat.received_at,
                                  false};
  advance();
}

void Watermark::message(StationId station) {
  const auto found = stations_.find(station);
  if (found == stations_.end() || !idle(found->second)) return;
  if (found->second.woken_by_message) return;
  found->second.last_heard = now_;
  found->second.woken_by_message = true;
}

void Watermark::tick(TimePoint server_now) {
  now_ = std::max(now_, server_now);
  advance();
}

bool Watermark::idle(const StationMark& mark) const { return now_ - mark.last_heard > idle_after_; }

void Watermark::advance() {
  std::optional<TimePoint> least;
  for (const auto& [station, mark] : stations_) {
    if (idle(mark)) continue;
    least = least ? std::min(*least, mark.watermark) : mark.watermark;
  }
  if (!least && now_ == kBeginningOfTime) return;
  value_ = std::max(value_, least.value_or(now_ - all_idle_behind_));
}

}  // namespace fixwright::align
