#include "server/track/birth.hpp"

#include <fmt/core.h>

#include <algorithm>

#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/track/motion_start.hpp"

namespace fixwright::track {

namespace {

constexpr int kCheckedStations = 3;
/// Two places are one unless they are this far apart: three sigmas with 2 degrees of freedom.
constexpr double kSamePlace = 11.83;

EnCovariance sum(const EnCovariance& a, const EnCovariance& b) {
  return {a.ee_m2 + b.ee_m2, a.en_m2 + b.en_m2, a.nn_m2 + b.nn_m2};
}

bool consistent(const CrossFix& fix, const TrackRules& rules) {
  return fix.p_value >= geodesy::chi_square_survival(rules.birth_chi_square, 1);
}

bool same_instant(const Bearing& a, const Bearing& b) {
  return a.key.station == b.key.station && a.start == b.start;
}

bool heard_beside(int emitter, const Candidacy& c, const std::vector<Claim>& claims,
                  std::span<const Bearing> bearings) {
  for (std::size_t i = 0; i < bearings.size(); ++i) {
    if (claims[i].emitter != emitter) continue;
    for (const HeardBearing& h : c.heard) {
      if (same_instant(*h.bearing, bearings[i])) return true;
    }
  }
  return false;
}

double distance_chi_square(const EmitterRecord& e, const Candidacy& c) {
  if (e.shown.motion == Motion::still) {
    return geodesy::mahalanobis_squared(sum(e.shown.fix.covariance, c.fix.covariance),
                                        geodesy::offset(e.shown.fix.position, c.fix.position));
  }
  MotionFilter then = e.moving;
  then.advance(c.heard.back().bearing->middle());
  return geodesy::mahalanobis_squared(sum(then.covariance(), c.fix.covariance),
                                      geodesy::offset(then.position(), c.fix.position));
}

/// From its bearings at their own times; from the fix where these say too little.
MotionFilter begin(const Candidacy& c, const SiteErrors& sites, MotionFilter::Motion motion) {
  const auto started = start_motion(c.heard, sites, motion, c.fix.position);
  if (started) return *started;
  return {c.fix.position, c.fix.covariance, c.heard.back().bearing->middle(), motion};
}

EmitterRecord new_record(EmitterKey key, const Candidacy& c, const SiteErrors& sites,
                         const TrackRules& rules) {
  EmitterRecord e;
  e.shown.key = key;
  e.shown.fix = c.fix;
  e.resting = begin(c, sites, {});
  e.moving = begin(c, sites, {rules.speed_sigma_m_per_s, rules.straight_m_per_s2});
  e.place_since = e.moving.at();
  return e;
}

}  // namespace

bool may_be_born(const Candidacy& c, const TrackRules& rules) {
  if (c.heard.empty()) return false;
  const Duration span = c.heard.back().bearing->start - c.heard.front().bearing->start;
  if (span > from_seconds(rules.birth_span_s)) return false;
  if (c.stations >= kCheckedStations) return consistent(c.fix, rules);
  return c.alone && c.fix.region_kind != RegionKind::likelihood;
}

int known_at(const ChannelTracks& tracks, const Candidacy& c, const std::vector<Claim>& claims,
             std::span<const Bearing> bearings, const TrackRules& rules) {
  int nearest = kNobody;
  double least = kSamePlace;
  if (c.heard.empty()) return kNobody;
  for (std::size_t i = 0; i < tracks.emitters.size(); ++i) {
    const EmitterRecord& e = tracks.emitters[i];
    const int index = static_cast<int>(i);
    if (heard_beside(index, c, claims, bearings)) continue;
    if (e.shown.motion == Motion::moving &&
        e.moving.position_sigma_m() > rules.lost_track_sigma_m) {
      continue;
    }
    const double distance = distance_chi_square(e, c);
    if (distance < least) {
      least = distance;
      nearest = index;
    }
  }
  return nearest;
}

std::size_t give_birth(ChannelTracks& tracks, EmitterKey key, const Candidacy& c,
                       const SiteErrors& sites, const TrackRules& rules, Changes& changes) {
  EmitterRecord e = new_record(key, c, sites, rules);
  e.habits.count_transmission(1.0);
  for (const HeardBearing& h : c.heard) {
    e.sums.add(*h.bearing, h.azimuth_deg, sites);
    e.steady.update(*h.bearing, h.azimuth_deg, sites, rules.gate_sigmas);
    count_bearing(e.shown, *h.bearing);
  }
  for (const StationId station : e.shown.stations) e.habits.count_station(station, 1.0, 1.0);
  changes.events.push_back(
      {key, c.heard.front().bearing->start, EmitterEventKind::born,
       fmt::format("{} bearings of {} stations cross, chi-square {:.2f}, and no known emitter "
                   "explains them",
                   c.heard.size(), c.stations, c.fix.chi_square)});
  finish_transmission(e, c.stations, c.heard.front().bearing->start, rules, changes);
  e.shown.valid_at = e.shown.last_heard;
  tracks.emitters.push_back(std::move(e));  // ids grow with time: the order of keys holds
  return tracks.emitters.size() - 1;
}

}  // namespace fixwright::track
