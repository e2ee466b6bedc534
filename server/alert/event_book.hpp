#pragma once
/// Which events go on and which have ended: what makes one alert of one event.
///
/// An id is RULE/SUBJECT, and for events that may recur /START. An alert that comes back with an
/// id already seen is a revision of that alert.

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "server/model/alert_settings.hpp"

namespace fixwright::alert {

/// RULE/SUBJECT.
using Subject = std::string;

Subject subject_of(AlertKind kind, EmitterKey emitter);
Subject subject_of(AlertKind kind, std::string_view what);

/// "CHANNEL/ID".
std::string emitter_name(EmitterKey key);

void append(std::vector<Alert>& to, std::vector<Alert> from);

class EventBook {
 public:
  [[nodiscard]] bool is_open(const Subject& subject) const;

  /// Raises `alert` as a new event of the subject; within the hold-down, or while the last one
  /// goes on, revises that one instead.
  /// \param alert  its rule, times, evidence and message; id and severity are given here.
  /// \param once   the subject has one event only, whenever it is: no start in the id.
  Alert raise(const AlertRule& rule, AlertKind kind, const Subject& subject, Alert alert,
              bool once = false);
  /// The same of what has no duration: it ends as it begins.
  Alert raise_moment(const AlertRule& rule, AlertKind kind, const Subject& subject, Alert alert);

  /// Nothing when no such event is open.
  std::vector<Alert> end(const Subject& subject, TimePoint at, std::string_view remark);

  /// The subject is no more: a later event of it is a new one.
  void forget(const Subject& subject) { events_.erase(subject); }
  void forget_all_that_begin_with(std::string_view prefix);

  /// An alert from the database, after a start: its event, if it still lasts, keeps its id.
  void restore(const Alert& alert);

 private:
  struct Event {
    Alert alert;
    std::string message;  // without remarks
    int times = 1;
    [[nodiscard]] bool open() const { return !alert.ended_at; }
  };
  std::map<Subject, Event> events_;
};

}  // namespace fixwright::alert
