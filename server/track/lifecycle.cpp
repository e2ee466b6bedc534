#include "server/track/lifecycle.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

#include "server/track/lone_lines.hpp"

namespace fixwright::track {

namespace {

/// A look, which three stations rarely make up, counts for many transmissions.
constexpr std::uint32_t kPatienceOfALook = 36;
constexpr int kLook = 3;    // stations that make a look
constexpr int kSurely = 2;  // and that leave little doubt

Duration patience(const EmitterRecord& e, const TrackRules& rules) {
  if (e.shown.motion == Motion::still && e.believed()) return from_seconds(rules.retire_s);
  const auto earned = e.transmissions + kPatienceOfALook * e.shown.looks;
  const auto times = e.shown.motion == Motion::moving ? 1U : std::min(earned, kMaxPatience);
  return from_seconds(rules.drop_tentative_s * times);
}

std::optional<TimePoint> silent_due(const EmitterRecord& e, const TrackRules& rules) {
  if (e.shown.state != EmitterState::confirmed) return std::nullopt;
  return e.shown.last_heard + from_seconds(rules.silent_s);
}

TimePoint retire_due(const EmitterRecord& e, const TrackRules& rules) {
  const TimePoint due = e.shown.last_heard + patience(e, rules);
  return std::max(due, silent_due(e, rules).value_or(due));
}

void note(Changes& changes, const Emitter& e, TimePoint at, EmitterEventKind kind,
          std::string evidence) {
  changes.events.push_back({e.key, at, kind, std::move(evidence)});
}

void fall_silent(EmitterRecord& e, const TrackRules& rules, Changes& changes) {
  e.shown.state = EmitterState::silent;
  note(changes, e.shown, e.shown.last_heard + from_seconds(rules.silent_s),
       EmitterEventKind::silent,
       fmt::format("not heard since {}", format_rfc3339(e.shown.last_heard)));
}

void retire(EmitterRecord& e, const TrackRules& rules, Changes& changes) {
  const bool believed = e.believed();
  const TimePoint due = retire_due(e, rules);
  e.shown.state = EmitterState::retired;
  note(changes, e.shown, due, EmitterEventKind::retired,
       fmt::format("{}not heard since {}", believed ? "" : "never confirmed, ",
                   format_rfc3339(e.shown.last_heard)));
  changes.ended.push_back(e.shown);
}

/// Clamped below, so that a change after a year of standing still is seen as soon as any.
void weigh(double& log_ratio, double gain, const TrackRules& rules) {
  log_ratio =
      std::clamp(log_ratio + gain, -0.5 * rules.moving_log_ratio, 2.0 * rules.moving_log_ratio);
}

/// Every moment may be the one at which it starts: E. S. Page, Biometrika 41 (1954) 100.
void expect_departure(EmitterRecord& e, const TrackRules& rules) {
  e.moving = e.resting.departing({rules.speed_sigma_m_per_s, rules.straight_m_per_s2});
}

/// A bearing that is the emitter's with some probability says so much the less. Two movers that
/// cross share what lies between them: each taking the nearer ones whole, they would bounce.
void take_in(EmitterRecord& e, const HeardBearing& heard, const SiteErrors& sites,
             const TrackRules& rules) {
  e.sums.add(*heard.bearing, heard.azimuth_deg, sites, heard.probability);
  if ((heard.bearing->flags & kFlagClockUnsynchronised) != 0U) return;  // says nothing of motion
  Bearing b = *heard.bearing;
  b.sigma_deg /= std::sqrt(heard.probability);
  // One false bearing is no motion, whatever it would say.
  const double gate = rules.gate_sigmas;
  const double resting = e.resting.update(b, heard.azimuth_deg, sites, nullptr, gate);
  SmoothingLink* const link = e.since_point ? &*e.since_point : nullptr;
  const double moving = e.moving.update(b, heard.azimuth_deg, sites, link, gate);
  const auto steady = e.steady.update(b, heard.azimuth_deg, sites, gate);
  weigh(e.moving_log_ratio, 0.5 * (resting - moving), rules);
  weigh(e.moving_over_steady_log, 0.5 * (steady.value_or(moving) - moving), rules);
  const bool hopeless = e.moving_log_ratio <= -0.5 * rules.moving_log_ratio;
  if (hopeless && e.shown.motion == Motion::still) expect_departure(e, rules);
}

void follow(EmitterRecord& e, TimePoint at, const TrackRules& rules, Changes& changes) {
  Emitter& shown = e.shown;
  if (shown.state == EmitterState::silent) {
    shown.state = EmitterState::confirmed;
    note(changes, shown, at, EmitterEventKind::returned, "heard again");
  }
  const bool enough = shown.bearings >= static_cast<std::uint64_t>(rules.confirm_bearings) &&
                      shown.looks >= static_cast<std::uint32_t>(rules.confirm_looks) &&
                      shown.looks >= rules.confirm_look_share * e.transmissions;
  if (shown.state == EmitterState::tentative && enough) {
    shown.state = EmitterState::confirmed;
    note(changes, shown, at, EmitterEventKind::confirmed,
         fmt::format("{} bearings; three stations or more in {} transmissions", shown.bearings,
                     shown.looks));
  }
}

void count_surely(EmitterRecord::Surely& surely, TimePoint at) {
  if (surely.count == 0) surely.first = surely.last = at;
  surely.longest_pause = std::max(surely.longest_pause, at - surely.last);
  surely.last = at;
  surely.count += 1;
}

}  // namespace

void let_time_pass(ChannelTracks& tracks, TimePoint now, const TrackRules& rules,
                   Changes& changes) {
  for (EmitterRecord& e : tracks.emitters) {
    const auto silent = silent_due(e, rules);
    if (silent && now >= *silent) fall_silent(e, rules, changes);
    if (now >= retire_due(e, rules)) retire(e, rules, changes);
  }
  std::erase_if(tracks.emitters,
                [](const EmitterRecord& e) { return e.shown.state == EmitterState::retired; });
  end_silent_lines(tracks, now, rules, changes);
}

TimePoint next_due(const ChannelTracks& tracks, const TrackRules& rules) {
  TimePoint next = next_line_due(tracks, rules);
  for (const EmitterRecord& e : tracks.emitters) {
    next = std::min({next, retire_due(e, rules), silent_due(e, rules).value_or(next)});
  }
  return next;
}

void count_bearing(Emitter& e, const Bearing& b) {
  e.bearings += 1;
  e.frequency_hz += (b.frequency_hz - e.frequency_hz) / static_cast<double>(e.bearings);
  e.first_heard = e.bearings == 1 ? b.start : std::min(e.first_heard, b.start);
  e.last_heard = e.bearings == 1 ? b.end() : std::max(e.last_heard, b.end());
  const auto place = std::lower_bound(e.stations.begin(), e.stations.end(), b.key.station);
  if (place == e.stations.end() || *place != b.key.station) e.stations.insert(place, b.key.station);
}

void finish_transmission(EmitterRecord& emitter, int stations, TimePoint at,
                         const TrackRules& rules, Changes& changes) {
  emitter.transmissions += 1;
  if (stations >= kSurely) count_surely(emitter.surely, at);
  if (stations >= kLook) emitter.shown.looks += 1;
  follow(emitter, at, rules, changes);
}

void hear(EmitterRecord& emitter, std::span<const HeardBearing> heard, const SiteErrors& sites,
          const TrackRules& rules, Changes& changes) {
  std::set<StationId> stations;
  emitter.scatter.add_look(heard, emitter.sums, emitter.shown.fix.position, sites);
  for (const HeardBearing& h : heard) {
    take_in(emitter, h, sites, rules);
    if (!h.likely()) continue;
    count_bearing(emitter.shown, *h.bearing);
    stations.insert(h.bearing->key.station);
  }
  finish_transmission(emitter, static_cast<int>(stations.size()), heard.front().bearing->start,
                      rules, changes);
}

}  // namespace fixwright::track
