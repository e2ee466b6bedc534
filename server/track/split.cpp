#include "server/track/split.hpp"

#include <fmt/core.h>

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/track/sight_line.hpp"

namespace fixwright::track {

namespace {

/// How much of what is known of the middle guides the search for the two.
constexpr double kKept = 0.05;
/// So many looks each is left alone before the two may be found to be one after all.
constexpr std::uint32_t kLooksApart = 30;

/// How sure each place is: as the middle was, and no surer along the line than half its length.
EnCovariance round_it(const EnCovariance& middle, const geodesy::EnOffset& half) {
  return {middle.ee_m2 + half.east_m * half.east_m, middle.en_m2 + half.east_m * half.north_m,
          middle.nn_m2 + half.north_m * half.north_m};
}

/// The hypotheses of rest and motion begin anew.
void rest_at(EmitterRecord& e, GeoPoint place, const EnCovariance& covariance, TimePoint at,
             const TrackRules& rules) {
  e.resting = MotionFilter(place, covariance, at, {});
  e.moving = e.resting.departing({rules.speed_sigma_m_per_s, rules.straight_m_per_s2});
  e.steady = {};
  e.moving_log_ratio = 0.0;
  e.moving_over_steady_log = 0.0;
  e.place_since = at;
}

void go_to(EmitterRecord& e, GeoPoint place) {
  const GeoPoint from = e.shown.fix.position;
  e.sums = e.sums.moved(kKept, [&](StationId, GeoPoint station) {
    return wrap_180(
        (sight_line(station, place).azimuth_rad - sight_line(station, from).azimuth_rad) *
        kRadToDeg);
  });
  e.shown.fix.position = place;
  e.scatter = {};
  e.habits = e.habits.of_share(0.5);
  e.merge_from_look = e.shown.looks + kLooksApart;
}

/// Believed as the one was; its own life begins.
EmitterRecord twin_of(const EmitterRecord& e, EmitterKey key) {
  EmitterRecord twin = e;
  twin.shown.key = key;
  twin.shown.revision = 1;
  twin.shown.bearings = 0;
  twin.shown.looks = 0;
  twin.shown.first_heard = e.shown.last_heard;
  twin.transmissions = 0;
  twin.surely = {};
  return twin;
}

}  // namespace

bool split_twins(ChannelTracks& tracks, std::size_t emitter, EmitterKey key, TimePoint at,
                 const TrackRules& rules, Changes& changes) {
  EmitterRecord& e = tracks.emitters[emitter];
  if (e.shown.motion != Motion::still || !e.believed()) return false;
  const auto twins = e.scatter.twins();
  if (!twins) return false;
  const GeoPoint middle = e.shown.fix.position;
  const auto [east, north] = twins->half;
  const EnCovariance covariance = round_it(e.shown.fix.covariance, twins->half);
  EmitterRecord twin = twin_of(e, key);
  go_to(e, geodesy::displace(middle, {-east, -north}));
  go_to(twin, geodesy::displace(middle, {east, north}));
  twin.merge_from_look = kLooksApart;
  for (EmitterRecord* one : {&e, &twin}) {
    rest_at(*one, one->shown.fix.position, covariance, at, rules);
  }
  const std::string evidence = fmt::format(
      "{:.0f} looks scatter {:.1f} times as their errors would, along a line: two "
      "places {:.1f} km apart",
      twins->looks, twins->ratio, 2e-3 * std::hypot(east, north));
  changes.events.push_back({e.shown.key, at, EmitterEventKind::split,
                            fmt::format("{}; emitter {} is the other", evidence, key.id)});
  changes.events.push_back({key, at, EmitterEventKind::born,
                            fmt::format("split from emitter {}: {}", e.shown.key.id, evidence)});
  tracks.emitters.push_back(std::move(twin));
  return true;
}

}  // namespace fixwright::track
