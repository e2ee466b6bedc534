#include "server/alert/alert_engine.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <iterator>
#include <utility>

#include "server/alert/wording.hpp"

namespace fixwright::alert {

namespace {

constexpr std::string_view kUnregistered = "new_unregistered_emitter";
constexpr std::string_view kDisagrees = "position_disagrees";
constexpr std::string_view kOffFrequency = "off_frequency";
constexpr std::string_view kOutOfValidity = "out_of_validity";
constexpr std::string_view kMoved = "emitter_moved";
constexpr std::string_view kSilent = "station_silent";
constexpr std::string_view kClockBad = "clock_bad";

/// Stands between what was raised and what became of it; restore() looks for it.
constexpr std::string_view kRemark = "; now: ";

std::string subject_of(std::string_view rule, EmitterKey key) {
  return fmt::format("{}/{}", rule, emitter_subject(key));
}

std::string subject_of(std::string_view rule, StationId station) {
  return fmt::format("{}/{}", rule, station);
}

/// The id of an event that may recur: two silences of a station are two alerts.
std::string id_of(const std::string& subject, TimePoint start) {
  return subject + "/" + format_rfc3339(start);
}

bool ends_with_a_start(std::string_view rule) {
  return rule == kMoved || rule == kSilent || rule == kClockBad;
}

bool clock_is_bad(const Heartbeat& h, const AlertRules& rules) {
  return h.clock_state == ClockState::unsynchronised || h.clock_error > rules.max_clock_error;
}

void append(std::vector<Alert>& to, std::vector<Alert> from) {
  to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

}  // namespace

AlertEngine::AlertEngine(AlertRules rules, StationNames names)
    : rules_(rules), names_(std::move(names)) {}

bool AlertEngine::is_open(const Subject& subject) const {
  const auto at = events_.find(subject);
  return at != events_.end() && at->second.open;
}

Alert AlertEngine::open_event(const AlertRule& rule, const Subject& subject, Alert alert) {
  alert.severity = rule.severity;
  const auto at = events_.find(subject);
  const bool recurs =
      at != events_.end() && (at->second.open || at->second.alert.id == alert.id ||
                              alert.raised_at - at->second.ended_at <= rule.hold_down);
  if (!recurs) {
    Event event{alert, alert.message, true, {}, 1};
    events_.insert_or_assign(subject, std::move(event));
    return alert;
  }
  Event& event = at->second;
  ++event.times;
  event.open = true;
  event.message = alert.message;
  event.alert.message = fmt::format("{}; {} times since {}", alert.message, event.times,
                                    format_rfc3339(event.alert.raised_at));
  return event.alert;
}

std::vector<Alert> AlertEngine::end_event(const Subject& subject, TimePoint at,
                                          const std::string& remark) {
  const auto found = events_.find(subject);
  if (found == events_.end() || !found->second.open) return {};
  Event& event = found->second;
  event.open = false;
  event.ended_at = at;
  event.alert.message = fmt::format("{}{}{}", event.message, kRemark, remark);
  return {event.alert};
}

std::vector<Alert> AlertEngine::follow_verdict(const AlertRule& rule, std::string_view name,
                                               RegisterVerdict verdict, const Emitter& emitter,
                                               const RegisterMatch& match) {
  const Subject subject = subject_of(name, emitter.key);
  if (match.verdict != verdict) {
    return end_event(subject, emitter.last_heard, verdict_remark(match));
  }
  if (!rule.enabled || is_open(subject) || !emitter.fix.accepted()) return {};
  Alert alert;
  alert.id = subject;  // an emitter is new once
  alert.rule = name;
  alert.raised_at = emitter.last_heard;
  alert.emitter = emitter.key;
  alert.message = verdict_message(emitter, match);
  return {open_event(rule, subject, std::move(alert))};
}

std::vector<Alert> AlertEngine::on_emitter(const Emitter& emitter, const RegisterMatch* match) {
  if (match == nullptr || emitter.state != EmitterState::confirmed) return {};
  auto alerts = follow_verdict(rules_.new_unregistered_emitter, kUnregistered,
                               RegisterVerdict::unregistered, emitter, *match);
  append(alerts, follow_verdict(rules_.position_disagrees, kDisagrees,
                                RegisterVerdict::position_disagrees, emitter, *match));
  append(alerts, follow_verdict(rules_.off_frequency, kOffFrequency, RegisterVerdict::off_frequency,
                                emitter, *match));
  append(alerts, follow_verdict(rules_.out_of_validity, kOutOfValidity,
                                RegisterVerdict::out_of_validity, emitter, *match));
  return alerts;
}

std::vector<Alert> AlertEngine::on_event(const EmitterEvent& event) {
  if (event.kind == EmitterEventKind::retired) {
    for (const auto rule : {kUnregistered, kDisagrees, kOffFrequency, kOutOfValidity, kMoved}) {
      events_.erase(subject_of(rule, event.emitter));
    }
  }
  if (event.kind != EmitterEventKind::moved || !rules_.emitter_moved.enabled) return {};
  const Subject subject = subject_of(kMoved, event.emitter);
  Alert alert;
  alert.id = id_of(subject, event.at);
  alert.rule = kMoved;
  alert.raised_at = event.at;
  alert.emitter = event.emitter;
  alert.message = moved_message(event);
  const Alert raised = open_event(rules_.emitter_moved, subject, std::move(alert));
  Event& open = events_.at(subject);  // a move has no duration: it ends as it begins
  open.open = false;
  open.ended_at = event.at;
  return {raised};
}

std::vector<Alert> AlertEngine::check_clock(const Heartbeat& heartbeat, StationWatch& watch) {
  const Subject subject = subject_of(kClockBad, heartbeat.station);
  if (!clock_is_bad(heartbeat, rules_)) {
    watch.clock_bad_since.reset();
    return end_event(subject, heartbeat.received_at,
                     "the clock is good since " + format_rfc3339(heartbeat.received_at));
  }
  if (!watch.clock_bad_since) watch.clock_bad_since = heartbeat.received_at;
  const Duration bad_for = heartbeat.received_at - *watch.clock_bad_since;
  if (!rules_.clock_bad.enabled || bad_for < rules_.clock_bad_after || is_open(subject)) return {};
  Alert alert;
  alert.id = id_of(subject, *watch.clock_bad_since);
  alert.rule = kClockBad;
  alert.raised_at = heartbeat.received_at;
  alert.station = heartbeat.station;
  alert.message = clock_message(names_(heartbeat.station), heartbeat, rules_);
  return {open_event(rules_.clock_bad, subject, std::move(alert))};
}

std::vector<Alert> AlertEngine::on_heartbeat(const Heartbeat& heartbeat) {
  StationWatch& watch = stations_[heartbeat.station];
  watch.last_heartbeat = heartbeat.received_at;
  auto alerts = end_event(subject_of(kSilent, heartbeat.station), heartbeat.received_at,
                          "heard again at " + format_rfc3339(heartbeat.received_at));
  append(alerts, check_clock(heartbeat, watch));
  return alerts;
}

std::vector<Alert> AlertEngine::on_tick(TimePoint now) {
  std::vector<Alert> alerts;
  if (!rules_.station_silent.enabled) return alerts;
  for (const auto& [station, watch] : stations_) {
    const Subject subject = subject_of(kSilent, station);
    if (now - watch.last_heartbeat <= rules_.silent_after || is_open(subject)) continue;
    Alert alert;
    alert.id = id_of(subject, watch.last_heartbeat);
    alert.rule = kSilent;
    // Not `now`: the same silence is raised at the same time however often we are asked.
    alert.raised_at = watch.last_heartbeat + rules_.silent_after;
    alert.station = station;
    alert.message = silent_message(names_(station), watch.last_heartbeat, rules_);
    alerts.push_back(open_event(rules_.station_silent, subject, std::move(alert)));
  }
  return alerts;
}

void AlertEngine::expect(StationId station, TimePoint since) {
  stations_.try_emplace(station, StationWatch{since, std::nullopt});
}

void AlertEngine::restore(const Alert& alert) {
  Subject subject = alert.id;
  if (ends_with_a_start(alert.rule)) subject.resize(std::min(subject.rfind('/'), subject.size()));
  const auto remark = alert.message.find(kRemark);
  const bool ended = alert.rule == kMoved || remark != std::string::npos;
  Event event{alert, alert.message.substr(0, remark), !ended, alert.raised_at, 1};
  events_.insert_or_assign(std::move(subject), std::move(event));
}

}  // namespace fixwright::alert
