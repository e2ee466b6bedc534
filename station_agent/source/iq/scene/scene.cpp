#include "station_agent/source/iq/scene/scene.hpp"

#include <algorithm>
#include <cmath>

#include "station_agent/source/simulated/measurement.hpp"

namespace fixwright::agent::scene {

namespace {

/// Free-space loss, Rec. ITU-R P.525: 32.4 + 20 log f(MHz) + 20 log d(km).
double free_space_loss_db(double frequency_hz, double distance_m) {
  return 32.4 + 20.0 * std::log10(frequency_hz / 1e6) +
         20.0 * std::log10(std::max(distance_m, 1.0) / 1e3);
}

}  // namespace

const SceneStation* Scene::station(std::string_view name) const {
  const auto it = std::find_if(stations.begin(), stations.end(),
                               [&](const SceneStation& s) { return s.name == name; });
  return it == stations.end() ? nullptr : &*it;
}

Arrival arrival(const Scene& scene, const SceneStation& station, const SceneEmitter& emitter,
                TimePoint at) {
  Arrival a;
  double distance_m = 1.0;
  if (!emitter.path.empty()) {
    const GeoPoint place = emitter.path.front().at(at - scene.start);
    const AzimuthDistance way = azimuth_distance(station.position, place);
    a.azimuth_deg = way.azimuth_deg;
    distance_m = way.distance_m;
  }
  if (emitter.azimuth_deg) a.azimuth_deg = *emitter.azimuth_deg;
  const double received_dbm =
      emitter.eirp_dbw + 30.0 - free_space_loss_db(emitter.frequency_hz, distance_m);
  a.level_dbfs = emitter.level_dbfs.value_or(received_dbm - station.full_scale_dbm);
  return a;
}

bool is_in_band(const SceneStation& station, const SceneEmitter& emitter) {
  return std::abs(emitter.frequency_hz - station.centre_hz) < station.rate_hz / 2.0;
}

}  // namespace fixwright::agent::scene
