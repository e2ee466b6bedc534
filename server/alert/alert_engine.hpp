#pragma once
/// One alert for one event, not for each fix. Pure: it knows no clock but the times of its inputs,
/// so a replay raises the same alerts with the same ids.
///
/// Ids: RULE/SUBJECT, and for events that may recur /START. An alert that comes back with an id
/// already seen is a revision of that alert (its verdict changed, the station is heard again):
/// write it over the old row; do not notify anew. Alerts are revised, never taken back in silence.
///
///     new_unregistered_emitter/1017/1951481702250000000
///     station_silent/3/2031-10-31T10:15:02.000Z
///
/// Every message is one line of evidence. None accuses: a register may be incomplete.

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/alert/rules.hpp"
#include "server/model/alert.hpp"
#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"
#include "server/model/station.hpp"

namespace fixwright::alert {

/// The name to print for a station.
using StationNames = std::function<std::string(StationId)>;

class AlertEngine {
 public:
  AlertEngine(AlertRules rules, StationNames names);

  /// A change of an emitter with the register's match in force (none: nullptr).
  std::vector<Alert> on_emitter(const Emitter& emitter, const RegisterMatch* match);

  /// `moved` raises; `retired` forgets the emitter; other kinds do nothing yet.
  std::vector<Alert> on_event(const EmitterEvent& event);

  /// Clock, and the end of a silence. Times are Heartbeat::received_at.
  std::vector<Alert> on_heartbeat(const Heartbeat& heartbeat);

  /// The beginning of silences. Call about once a second; `now` by the server's clock, and not
  /// while the server itself is holding the stations back.
  std::vector<Alert> on_tick(TimePoint now);

  /// A station that ought to be heard: its silence counts from `since` until its first heartbeat.
  /// Call it for each configured station at a start, or a dead one would go unnoticed.
  void expect(StationId station, TimePoint since);

  /// An alert from the database, after a start: its event, if it still lasts, keeps its id.
  void restore(const Alert& alert);

 private:
  using Subject = std::string;  // RULE/SUBJECT

  /// An event of a rule and subject: going on, or ended and perhaps to recur.
  struct Event {
    Alert alert;
    std::string message;  // without remarks
    bool open = true;
    TimePoint ended_at;
    int times = 1;
  };
  struct StationWatch {
    TimePoint last_heartbeat;
    std::optional<TimePoint> clock_bad_since;
  };

  [[nodiscard]] bool is_open(const Subject& subject) const;
  /// Raises, or revises within the hold-down. `alert.id` is the id of a fresh event.
  Alert open_event(const AlertRule& rule, const Subject& subject, Alert alert);
  /// Nothing when no such event is open.
  std::vector<Alert> end_event(const Subject& subject, TimePoint at, const std::string& remark);
  std::vector<Alert> check_clock(const Heartbeat& heartbeat, StationWatch& watch);
  std::vector<Alert> follow_verdict(const AlertRule& rule, std::string_view name,
                                    RegisterVerdict verdict, const Emitter& emitter,
                                    const RegisterMatch& match);

  AlertRules rules_;
  StationNames names_;
  std::map<Subject, Event> events_;
  std::map<StationId, StationWatch> stations_;
};

}  // namespace fixwright::alert
