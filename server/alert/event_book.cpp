#include "server/alert/event_book.hpp"

#include <fmt/core.h>

#include <iterator>
#include <utility>

namespace fixwright::alert {

namespace {

/// Stands between what was raised and what became of it; restore() looks for it.
constexpr std::string_view kRemark = "; now: ";

}  // namespace

std::string emitter_name(EmitterKey key) { return fmt::format("{}/{}", key.channel, key.id); }

Subject subject_of(AlertKind kind, std::string_view what) {
  return fmt::format("{}/{}", to_string(kind), what);
}

Subject subject_of(AlertKind kind, EmitterKey emitter) {
  return subject_of(kind, emitter_name(emitter));
}

void append(std::vector<Alert>& to, std::vector<Alert> from) {
  to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

bool EventBook::is_open(const Subject& subject) const {
  const auto at = events_.find(subject);
  return at != events_.end() && at->second.open();
}

Alert EventBook::raise(const AlertRule& rule, AlertKind kind, const Subject& subject, Alert alert,
                       bool once) {
  alert.rule = to_string(kind);
  alert.severity = rule.severity;
  alert.id = once ? subject : subject + "/" + format_rfc3339(alert.raised_at);
  const auto at = events_.find(subject);
  const bool recurs =
      at != events_.end() && (at->second.open() || at->second.alert.id == alert.id ||
                              alert.raised_at - *at->second.alert.ended_at <= rule.hold_down);
  if (!recurs) {
    events_.insert_or_assign(subject, Event{alert, alert.message, 1});
    return alert;
  }
  Event& event = at->second;
  ++event.times;
  event.message = alert.message;
  event.alert.message = fmt::format("{}; {} times since {}", alert.message, event.times,
                                    format_rfc3339(event.alert.raised_at));
  event.alert.evidence = std::move(alert.evidence);
  event.alert.ended_at.reset();
  return event.alert;
}

Alert EventBook::raise_moment(const AlertRule& rule, AlertKind kind, const Subject& subject,
                              Alert alert) {
  const TimePoint at = alert.raised_at;
  raise(rule, kind, subject, std::move(alert));
  Alert& raised = events_.at(subject).alert;
  raised.ended_at = at;
  return raised;
}

std::vector<Alert> EventBook::end(const Subject& subject, TimePoint at, std::string_view remark) {
  const auto found = events_.find(subject);
  if (found == events_.end() || !found->second.open()) return {};
  Event& event = found->second;
  event.alert.ended_at = at;
  event.alert.message = fmt::format("{}{}{}", event.message, kRemark, remark);
  return {event.alert};
}

void EventBook::forget_all_that_begin_with(std::string_view prefix) {
  std::erase_if(events_,
                [&](const auto& e) { return e.first.compare(0, prefix.size(), prefix) == 0; });
}

void EventBook::restore(const Alert& alert) {
  Subject subject = alert.id;
  const std::string start = "/" + format_rfc3339(alert.raised_at);
  if (subject.ends_with(start)) subject.resize(subject.size() - start.size());
  events_.insert_or_assign(std::move(subject),
                           Event{alert, alert.message.substr(0, alert.message.find(kRemark)), 1});
}

}  // namespace fixwright::alert
