#include "server/alert/alert_engine.hpp"

#include <algorithm>
#include <utility>

namespace fixwright::alert {

AlertEngine::AlertEngine(AlertRules rules, StationNames names, Watched watched)
    : configured_(std::move(rules)),
      rules_(configured_),
      book_(std::make_unique<EventBook>()),
      emitters_(*book_, std::move(watched)),
      stations_(*book_, std::move(names)),
      host_(*book_) {}

void AlertEngine::apply(AlertSettings settings) {
  for (const WatchedArea& old : settings_.areas) {
    const bool stays =
        std::find(settings.areas.begin(), settings.areas.end(), old) != settings.areas.end();
    if (!stays) {
      book_->forget_all_that_begin_with(subject_of(AlertKind::watched_activity, old.name) + "/");
    }
  }
  settings_ = std::move(settings);
  rules_ = configured_;
  for (const auto& [kind, rule] : settings_.rules) rules_.of(kind) = rule;
}

/// A mute keeps people from being told; what is raised is raised.
std::vector<Alert> AlertEngine::marked(std::vector<Alert> alerts) const {
  for (Alert& alert : alerts) {
    alert.muted = std::any_of(settings_.mutes.begin(), settings_.mutes.end(),
                              [&](const AlertMute& m) { return m.covers(alert); });
  }
  return alerts;
}

std::vector<Alert> AlertEngine::on_emitter(const Emitter& emitter, const RegisterMatch* match) {
  return marked(emitters_.on_emitter(rules_, settings_.areas, emitter, match));
}

std::vector<Alert> AlertEngine::on_event(const EmitterEvent& event, const Emitter* emitter) {
  return marked(emitters_.on_event(rules_, event, emitter));
}

std::vector<Alert> AlertEngine::on_heartbeat(const Heartbeat& heartbeat) {
  return marked(stations_.on_heartbeat(rules_, heartbeat));
}

std::vector<Alert> AlertEngine::on_tick(TimePoint now) {
  auto alerts = stations_.on_tick(rules_, now);
  append(alerts, emitters_.on_tick(rules_, now));
  return marked(std::move(alerts));
}

std::vector<Alert> AlertEngine::on_drift(const CalibrationDrift& drift) {
  return marked(stations_.on_drift(rules_, drift));
}

std::vector<Alert> AlertEngine::on_host(const HostState& state) {
  return marked(host_.on_host(rules_, state));
}

void AlertEngine::expect(StationId station, TimePoint since) { stations_.expect(station, since); }

void AlertEngine::expect_references(TimePoint since) { emitters_.expect_references(rules_, since); }

void AlertEngine::restore(const Alert& alert) { book_->restore(alert); }

}  // namespace fixwright::alert
