#pragma once
/// Bearings and places for the tests of track.

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/model/bearing.hpp"
#include "server/model/station.hpp"
#include "server/track/emitter_record.hpp"

namespace fixwright::track::testing {

inline const TimePoint kNoon{std::chrono::hours{500'000}};
inline constexpr GeoPoint kPlace{41.20, -150.30};

/// Station 1 is 20 km north of kPlace, 2 east, 3 south, 4 west; 1 degree of site error.
inline Stations four_stations(double site_sigma_deg = 1.0) {
  Stations stations;
  for (StationId id = 1; id <= 4; ++id) {
    Station s;
    s.id = id;
    s.position = geodesy::direct(kPlace, 90.0 * (id - 1), 20'000.0);
    s.site_sigma_deg = site_sigma_deg;
    stations[id] = s;
  }
  return stations;
}

/// A bearing of a station to a place, off by so much.
inline Bearing bearing_to(const Station& station, GeoPoint place, double at_s = 0.0,
                          double off_deg = 0.0, double sigma_deg = 1.0) {
  Bearing b;
  b.key = {station.id, 1, static_cast<std::uint64_t>(std::llround(at_s * 1000.0)) + 1};
  b.channel = 5;
  b.start = kNoon + from_seconds(at_s);
  b.frequency_hz = 146e6;
  b.azimuth_deg = wrap_360(geodesy::inverse(station.position, place).azimuth1_deg + off_deg);
  b.sigma_deg = sigma_deg;
  b.station_position = station.position;
  return b;
}

/// A still, confirmed emitter that is known to so many metres.
inline EmitterRecord still_emitter(GeoPoint place, double sigma_m, std::int64_t id = 1) {
  EmitterRecord e;
  e.shown.key = {5, id};
  e.shown.state = EmitterState::confirmed;
  e.shown.fix.position = place;
  e.shown.fix.covariance = {sigma_m * sigma_m, 0.0, sigma_m * sigma_m};
  e.shown.first_heard = kNoon;
  e.shown.last_heard = kNoon;
  e.transmissions = 1;
  e.resting = MotionFilter(place, e.shown.fix.covariance, kNoon, {});
  e.moving = MotionFilter(place, e.shown.fix.covariance, kNoon, {20.0, 0.5});
  return e;
}

}  // namespace fixwright::track::testing
