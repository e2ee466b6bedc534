#include "server/track/lone_lines.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>

#include "server/base/angle.hpp"
#include "server/track/sight_line.hpp"

namespace fixwright::track {

namespace {

/// More than these nobody looks at; it bounds what clutter can fill.
constexpr std::size_t kMostLines = 16;

TimePoint due(const LoneLine& line, const TrackRules& rules) {
  const BearingOnly& shown = line.shown;
  if (worth_showing(line, rules)) return shown.last_heard + from_seconds(rules.retire_s);
  const auto times = std::min(std::max(shown.transmissions, 1U), kMaxPatience);
  return shown.last_heard + from_seconds(rules.drop_tentative_s * times);
}

void end(LoneLine& line, BearingOnlyState state, const TrackRules& rules, Changes& changes) {
  const bool known = worth_showing(line, rules);
  line.shown.state = state;
  if (known) changes.ended_lines.push_back(line.shown);
}

void erase_ended(ChannelTracks& tracks) {
  std::erase_if(tracks.lines,
                [](const LoneLine& l) { return l.shown.state != BearingOnlyState::waiting; });
}

/// How far off, in sigmas; the whole error of one bearing counts: a reflection's is its own.
double sigmas_off(const LoneLine& line, const Bearing& b, const SiteErrors& sites) {
  const double off_deg = wrap_180(b.azimuth_deg - sites.bias_deg(b) - line.shown.azimuth_deg);
  return std::abs(off_deg) / std::sqrt(sites.variance_deg2(b) + 1.0 / line.weight);
}

void take_in(LoneLine& line, const Bearing& b, const SiteErrors& sites) {
  BearingOnly& s = line.shown;
  const double weight = 1.0 / sites.noise_variance_deg2(b);
  line.weight += weight;
  s.bearings += 1;
  const double off_deg = wrap_180(b.azimuth_deg - sites.bias_deg(b) - s.azimuth_deg);
  s.azimuth_deg = wrap_360(s.azimuth_deg + off_deg * weight / line.weight);
  s.sigma_deg = std::sqrt(
      sites.pooled_variance_deg2(s.key.station, line.weight, static_cast<double>(s.bearings)));
  s.frequency_hz += (b.frequency_hz - s.frequency_hz) / static_cast<double>(s.bearings);
  s.last_heard = std::max(s.last_heard, b.end());
}

LoneLine begin(const Bearing& b, BearingOnlyKey key, const SiteErrors& sites) {
  LoneLine line;
  line.shown.key = key;
  line.shown.station_position = b.station_position;
  line.shown.azimuth_deg = wrap_360(b.azimuth_deg - sites.bias_deg(b));
  line.shown.first_heard = b.start;
  line.shown.last_heard = b.end();
  return line;
}

/// The line of this station that agrees best, or the end.
std::vector<LoneLine>::iterator best_line(ChannelTracks& tracks, const Bearing& b,
                                          const SiteErrors& sites, const TrackRules& rules) {
  auto best = tracks.lines.end();
  double least = rules.gate_sigmas;
  for (auto line = tracks.lines.begin(); line != tracks.lines.end(); ++line) {
    if (line->shown.key.station != b.key.station) continue;
    const double off = sigmas_off(*line, b, sites);
    if (off > least) continue;
    least = off;
    best = line;
  }
  return best;
}

/// Takes the place of the one not shown that was heard longest ago, where there are too many.
/// \return false when all are shown.
bool make_room(ChannelTracks& tracks, const TrackRules& rules) {
  if (tracks.lines.size() < kMostLines) return true;
  auto oldest = tracks.lines.end();
  for (auto line = tracks.lines.begin(); line != tracks.lines.end(); ++line) {
    if (worth_showing(*line, rules)) continue;
    if (oldest == tracks.lines.end() || line->shown.last_heard < oldest->shown.last_heard) {
      oldest = line;
    }
  }
  if (oldest == tracks.lines.end()) return false;
  tracks.lines.erase(oldest);
  return true;
}

bool points_at(const LoneLine& line, const EmitterRecord& emitter, const TrackRules& rules) {
  if (!emitter.believed() || emitter.shown.motion != Motion::still) return false;
  const CrossFix& fix = emitter.shown.fix;
  const auto view = sight_line(line.shown.station_position, fix.position);
  const double off_deg = wrap_180(line.shown.azimuth_deg - view.azimuth_rad * kRadToDeg);
  const double place_deg = std::atan2(fix.ellipse.semi_major_m, view.range_m) * kRadToDeg;
  return std::abs(off_deg) <= rules.gate_sigmas * line.shown.sigma_deg + place_deg;
}

}  // namespace

bool worth_showing(const LoneLine& line, const TrackRules& rules) {
  return line.shown.transmissions >= static_cast<std::uint32_t>(rules.line_transmissions) &&
         line.shown.bearings >= static_cast<std::uint64_t>(rules.confirm_bearings);
}

std::size_t worth_remembering(const ChannelTracks& tracks, const TrackRules& rules) {
  const auto lines = std::count_if(tracks.lines.begin(), tracks.lines.end(),
                                   [&](const auto& l) { return worth_showing(l, rules); });
  return tracks.emitters.size() + static_cast<std::size_t>(lines);
}

void hear_alone(ChannelTracks& tracks, std::span<const Bearing> heard, TimePoint start,
                const SiteErrors& sites, const TrackRules& rules) {
  const Bearing& first = heard.front();
  BearingOnlyKey key{first.channel, start.time_since_epoch().count(), first.key.station};
  std::set<BearingOnlyKey> joined;
  for (const Bearing& b : heard) {
    auto line = best_line(tracks, b, sites, rules);
    if (line == tracks.lines.end()) {
      if (!make_room(tracks, rules)) continue;
      tracks.lines.push_back(begin(b, key, sites));
      line = std::prev(tracks.lines.end());
      key.id += 1;
    }
    take_in(*line, b, sites);
    if (joined.insert(line->shown.key).second) line->shown.transmissions += 1;
  }
}

void locate_lines(ChannelTracks& tracks, const TrackRules& rules, Changes& changes) {
  if (tracks.lines.empty()) return;
  for (LoneLine& line : tracks.lines) {
    const auto emitter =
        std::find_if(tracks.emitters.begin(), tracks.emitters.end(),
                     [&](const EmitterRecord& e) { return points_at(line, e, rules); });
    if (emitter == tracks.emitters.end()) continue;
    line.shown.emitter = emitter->shown.key;
    end(line, BearingOnlyState::located, rules, changes);
  }
  erase_ended(tracks);
}

void end_silent_lines(ChannelTracks& tracks, TimePoint now, const TrackRules& rules,
                      Changes& changes) {
  if (tracks.lines.empty()) return;
  for (LoneLine& line : tracks.lines) {
    if (now >= due(line, rules)) end(line, BearingOnlyState::ended, rules, changes);
  }
  erase_ended(tracks);
}

TimePoint next_line_due(const ChannelTracks& tracks, const TrackRules& rules) {
  TimePoint next = TimePoint::max();
  for (const LoneLine& line : tracks.lines) next = std::min(next, due(line, rules));
  return next;
}

}  // namespace fixwright::track
