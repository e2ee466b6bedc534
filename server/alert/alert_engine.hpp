#pragma once
/// One alert for one event, not for each fix. Pure: it knows no clock but the times of its inputs,
/// so a replay raises the same alerts with the same ids.
///
///     new_unregistered_emitter/1017/1951481702250000000
///     station_silent/3/2031-10-31T10:15:02.000Z
///
/// An alert that comes back with an id already seen is a revision of that alert (its verdict
/// changed, the station is heard again): write it over the old row; do not notify anew. Alerts
/// are revised, never taken back in silence.
///
/// Every message is one line of evidence. None accuses: a register may be incomplete.

#include <memory>
#include <vector>

#include "server/alert/emitter_watch.hpp"
#include "server/alert/event_book.hpp"
#include "server/alert/host_watch.hpp"
#include "server/alert/rules.hpp"
#include "server/alert/station_watch.hpp"

namespace fixwright::alert {

class AlertEngine {
 public:
  /// \param watched  whether a person watches an emitter; none: nobody does.
  AlertEngine(AlertRules rules, StationNames names, Watched watched = {});

  /// What people set, over the rules given; it replaces what they set before.
  void apply(AlertSettings settings);

  /// A change of an emitter with the register's match in force (none: nullptr).
  std::vector<Alert> on_emitter(const Emitter& emitter, const RegisterMatch* match);

  /// `moved` raises, and so does `returned` of one that is watched; `retired` ends its alerts.
  /// \param emitter  as it is after the event; nullptr: not known.
  std::vector<Alert> on_event(const EmitterEvent& event, const Emitter* emitter = nullptr);

  /// Clock, load, and the end of a silence. Times are Heartbeat::received_at.
  std::vector<Alert> on_heartbeat(const Heartbeat& heartbeat);

  /// The beginning of silences. Call about once a second; `now` by the server's clock, and not
  /// while the server itself is holding the stations back.
  std::vector<Alert> on_tick(TimePoint now);

  std::vector<Alert> on_drift(const CalibrationDrift& drift);
  std::vector<Alert> on_host(const HostState& state);

  /// A station that ought to be heard: its silence counts from `since` until its first heartbeat.
  /// Call it for each configured station at a start, or a dead one would go unnoticed.
  void expect(StationId station, TimePoint since);
  /// The same of the references among the rules.
  void expect_references(TimePoint since);

  /// An alert from the database, after a start: its event, if it still lasts, keeps its id.
  void restore(const Alert& alert);

 private:
  [[nodiscard]] std::vector<Alert> marked(std::vector<Alert> alerts) const;

  AlertRules configured_;
  AlertRules rules_;  // with what people set
  AlertSettings settings_;
  std::unique_ptr<EventBook> book_;  // where it is when the engine moves
  EmitterWatch emitters_;
  StationWatch stations_;
  HostWatch host_;
};

}  // namespace fixwright::alert
