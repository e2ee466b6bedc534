#include "server/alert/emitter_watch.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "server/alert/emitter_wording.hpp"
#include "server/geodesy/geodesic.hpp"

namespace fixwright::alert {

namespace {

/// Verdicts that are worth an alert; the others leave an emitter alone.
struct Told {
  AlertKind kind;
  RegisterVerdict verdict;
};
constexpr std::array<Told, 4> kTold{
    {{AlertKind::new_unregistered_emitter, RegisterVerdict::unregistered},
     {AlertKind::position_disagrees, RegisterVerdict::position_disagrees},
     {AlertKind::off_frequency, RegisterVerdict::off_frequency},
     {AlertKind::out_of_validity, RegisterVerdict::out_of_validity}}};

Alert about(EmitterKey key, TimePoint at) {
  Alert alert;
  alert.emitter = key;
  alert.raised_at = at;
  return alert;
}

AlertEvidence seen(const Emitter& e, std::string would_change) {
  return {e.stations, e.fix.position, e.fix.ellipse, std::nullopt, std::move(would_change)};
}

Subject area_subject(const WatchedArea& area, EmitterKey key) {
  return subject_of(AlertKind::watched_activity, area.name) + "/" + emitter_name(key);
}

bool is_within(const WatchedArea& area, const Emitter& e) {
  return e.frequency_hz >= area.low_hz && e.frequency_hz < area.high_hz &&
         geodesy::distance_m(area.centre, e.fix.position) <= area.radius_m;
}

}  // namespace

std::vector<Alert> EmitterWatch::follow_verdict(const AlertRules& rules, AlertKind kind,
                                                RegisterVerdict verdict, const Emitter& emitter,
                                                const RegisterMatch& match) {
  const Subject subject = subject_of(kind, emitter.key);
  if (match.verdict != verdict) {
    return book_.end(subject, emitter.last_heard, verdict_remark(match));
  }
  const AlertRule& rule = rules.of(kind);
  if (!rule.enabled || book_.is_open(subject) || !emitter.fix.accepted()) return {};
  Alert alert = about(emitter.key, emitter.last_heard);
  alert.message = verdict_message(emitter, match);
  alert.evidence = seen(emitter, verdict_would_change(emitter, match));
  alert.evidence.posterior = match.posterior;
  return {book_.raise(rule, kind, subject, std::move(alert), true)};  // an emitter is new once
}

std::vector<Alert> EmitterWatch::follow_area(const AlertRule& rule, const WatchedArea& area,
                                             const Emitter& emitter) {
  const Subject subject = area_subject(area, emitter.key);
  if (emitter.state != EmitterState::confirmed) {
    return book_.end(subject, emitter.last_heard, "not heard any more");
  }
  if (!is_within(area, emitter)) return book_.end(subject, emitter.last_heard, "it left the area");
  if (!area.hours.holds(emitter.last_heard)) {
    return book_.end(subject, emitter.last_heard, "the watched hours are over");
  }
  if (!rule.enabled || book_.is_open(subject) || !emitter.fix.accepted()) return {};
  Alert alert = about(emitter.key, emitter.last_heard);
  alert.message = activity_message(emitter, area);
  alert.evidence = seen(emitter, "a fix outside the area");
  return {book_.raise(rule, AlertKind::watched_activity, subject, std::move(alert))};
}

std::vector<Alert> EmitterWatch::hear_reference(const Emitter& emitter,
                                                const RegisterMatch& match) {
  if (match.verdict != RegisterVerdict::registered || !match.licence) return {};
  const auto known = references_.find(*match.licence);
  if (known == references_.end() || emitter.last_heard <= known->second) return {};
  known->second = emitter.last_heard;
  return book_.end(subject_of(AlertKind::reference_missing, *match.licence), emitter.last_heard,
                   "heard again at " + format_rfc3339(emitter.last_heard));
}

std::vector<Alert> EmitterWatch::on_emitter(const AlertRules& rules,
                                            const std::vector<WatchedArea>& areas,
                                            const Emitter& emitter, const RegisterMatch* match) {
  std::vector<Alert> alerts;
  for (const WatchedArea& area : areas) {
    append(alerts, follow_area(rules.of(AlertKind::watched_activity), area, emitter));
  }
  if (match == nullptr || emitter.state != EmitterState::confirmed) return alerts;
  for (const auto& [kind, verdict] : kTold) {
    append(alerts, follow_verdict(rules, kind, verdict, emitter, *match));
  }
  append(alerts, hear_reference(emitter, *match));
  return alerts;
}

/// Its alerts end with it.
std::vector<Alert> EmitterWatch::forget(const EmitterEvent& event) {
  std::vector<Alert> alerts;
  const auto drop = [&](AlertKind kind) {
    const Subject subject = subject_of(kind, event.emitter);
    append(alerts, book_.end(subject, event.at, "the emitter is retired: " + event.evidence));
    book_.forget(subject);
  };
  for (const Told& told : kTold) drop(told.kind);
  drop(AlertKind::emitter_moved);
  drop(AlertKind::watched_returned);
  return alerts;
}

std::vector<Alert> EmitterWatch::on_event(const AlertRules& rules, const EmitterEvent& event,
                                          const Emitter* emitter) {
  if (event.kind == EmitterEventKind::retired) return forget(event);
  const bool moved = event.kind == EmitterEventKind::moved;
  const bool returned =
      event.kind == EmitterEventKind::returned && watched_ && watched_(event.emitter);
  if (!moved && !returned) return {};
  const AlertKind kind = moved ? AlertKind::emitter_moved : AlertKind::watched_returned;
  if (!rules.of(kind).enabled) return {};
  Alert alert = about(event.emitter, event.at);
  alert.message = moved ? moved_message(event) : returned_message(event, emitter);
  if (emitter != nullptr) alert.evidence = seen(*emitter, {});
  alert.evidence.would_change =
      moved ? "bearings that fit its former place again" : "nobody watching it any more";
  return {
      book_.raise_moment(rules.of(kind), kind, subject_of(kind, event.emitter), std::move(alert))};
}

std::vector<Alert> EmitterWatch::on_tick(const AlertRules& rules, TimePoint now) {
  std::vector<Alert> alerts;
  const AlertRule& rule = rules.of(AlertKind::reference_missing);
  if (!rule.enabled) return alerts;
  for (const Reference& reference : rules.references) {
    const auto heard = references_.find(reference.licence);
    const Subject subject = subject_of(AlertKind::reference_missing, reference.licence);
    if (heard == references_.end() || book_.is_open(subject)) continue;
    const TimePoint due = heard->second + reference.missing_after;
    if (now <= due) continue;
    Alert alert;
    alert.raised_at = due;
    alert.message = missing_message(reference, heard->second);
    alert.evidence.would_change = "a fix that the register knows as " + reference.licence;
    alerts.push_back(book_.raise(rule, AlertKind::reference_missing, subject, std::move(alert)));
  }
  return alerts;
}

void EmitterWatch::expect_references(const AlertRules& rules, TimePoint since) {
  for (const Reference& r : rules.references) references_.try_emplace(r.licence, since);
}

}  // namespace fixwright::alert
