#include "server/alert/station_watch.hpp"

#include <fmt/core.h>

#include <utility>

#include "server/alert/station_wording.hpp"

namespace fixwright::alert {

namespace {

Subject subject_of_station(AlertKind kind, StationId station) {
  return subject_of(kind, std::to_string(station));
}

bool clock_is_bad(const Heartbeat& h, const AlertRules& rules) {
  return h.clock_state == ClockState::unsynchronised || h.clock_error > rules.max_clock_error;
}

Alert about(StationId station, TimePoint at, std::string message, std::string would_change) {
  Alert alert;
  alert.station = station;
  alert.raised_at = at;
  alert.message = std::move(message);
  alert.evidence.stations = {station};
  alert.evidence.would_change = std::move(would_change);
  return alert;
}

}  // namespace

std::vector<Alert> StationWatch::check_clock(const AlertRules& rules, const Heartbeat& heartbeat,
                                             Seen& seen) {
  const Subject subject = subject_of_station(AlertKind::clock_bad, heartbeat.station);
  if (!clock_is_bad(heartbeat, rules)) {
    seen.clock_bad_since.reset();
    return book_.end(subject, heartbeat.received_at,
                     "the clock is good since " + format_rfc3339(heartbeat.received_at));
  }
  if (!seen.clock_bad_since) seen.clock_bad_since = heartbeat.received_at;
  const Duration bad_for = heartbeat.received_at - *seen.clock_bad_since;
  const AlertRule& rule = rules.of(AlertKind::clock_bad);
  if (!rule.enabled || bad_for < rules.clock_bad_after || book_.is_open(subject)) return {};
  return {book_.raise(rule, AlertKind::clock_bad, subject,
                      about(heartbeat.station, heartbeat.received_at,
                            clock_message(names_(heartbeat.station), heartbeat, rules),
                            fmt::format("a synchronised clock, its error bound at most {:g} s",
                                        seconds(rules.max_clock_error))))};
}

/// A drop is told at once; many that wait are told when they do so for long: an outage leaves
/// many for a while.
std::vector<Alert> StationWatch::check_load(const AlertRules& rules, const Heartbeat& heartbeat,
                                            Seen& seen) {
  const Subject subject = subject_of_station(AlertKind::station_overloaded, heartbeat.station);
  const std::uint64_t dropped =
      heartbeat.dropped > seen.dropped ? heartbeat.dropped - seen.dropped : 0;
  seen.dropped = heartbeat.dropped;
  if (dropped == 0 && heartbeat.waiting <= rules.overloaded_bearings) {
    seen.loaded_since.reset();
    return book_.end(subject, heartbeat.received_at,
                     fmt::format("{} bearings wait at {}", heartbeat.waiting,
                                 format_rfc3339(heartbeat.received_at)));
  }
  if (!seen.loaded_since) seen.loaded_since = heartbeat.received_at;
  const bool long_enough = heartbeat.received_at - *seen.loaded_since >= rules.overloaded_after;
  const AlertRule& rule = rules.of(AlertKind::station_overloaded);
  if (!rule.enabled || (dropped == 0 && !long_enough) || book_.is_open(subject)) return {};
  return {book_.raise(rule, AlertKind::station_overloaded, subject,
                      about(heartbeat.station, heartbeat.received_at,
                            overloaded_message(names_(heartbeat.station), heartbeat, dropped),
                            fmt::format("at most {} bearings waiting, and none dropped",
                                        rules.overloaded_bearings)))};
}

std::vector<Alert> StationWatch::on_heartbeat(const AlertRules& rules, const Heartbeat& heartbeat) {
  Seen& seen = stations_[heartbeat.station];
  seen.last_heartbeat = heartbeat.received_at;
  auto alerts =
      book_.end(subject_of_station(AlertKind::station_silent, heartbeat.station),
                heartbeat.received_at, "heard again at " + format_rfc3339(heartbeat.received_at));
  append(alerts, check_clock(rules, heartbeat, seen));
  append(alerts, check_load(rules, heartbeat, seen));
  return alerts;
}

std::vector<Alert> StationWatch::on_tick(const AlertRules& rules, TimePoint now) {
  std::vector<Alert> alerts;
  const AlertRule& rule = rules.of(AlertKind::station_silent);
  if (!rule.enabled) return alerts;
  for (const auto& [station, seen] : stations_) {
    const Subject subject = subject_of_station(AlertKind::station_silent, station);
    // Not `now`: the same silence is raised at the same time however often we are asked.
    const TimePoint due = seen.last_heartbeat + rules.silent_after;
    if (now <= due || book_.is_open(subject)) continue;
    alerts.push_back(
        book_.raise(rule, AlertKind::station_silent, subject,
                    about(station, due, silent_message(names_(station), seen.last_heartbeat, rules),
                          "its next heartbeat")));
  }
  return alerts;
}

std::vector<Alert> StationWatch::on_drift(const AlertRules& rules, const CalibrationDrift& drift) {
  const Subject subject = subject_of_station(AlertKind::station_biased, drift.station);
  if (!drift.drifted) {
    return book_.end(subject, drift.at,
                     fmt::format("its bearings agree again, {:+.2f} deg", drift.residual_deg));
  }
  const AlertRule& rule = rules.of(AlertKind::station_biased);
  if (!rule.enabled || book_.is_open(subject)) return {};
  return {book_.raise(rule, AlertKind::station_biased, subject,
                      about(drift.station, drift.at, biased_message(names_(drift.station), drift),
                            "an accepted calibration that takes it off, or bearings that agree "
                            "again"))};
}

void StationWatch::expect(StationId station, TimePoint since) {
  stations_.try_emplace(station, Seen{since, std::nullopt, std::nullopt, 0});
}

}  // namespace fixwright::alert
