#pragma once
/// Scenes for tests: one station, what it hears, and what can be read off the samples.

#include <complex>
#include <span>
#include <string>
#include <vector>

#include "station_agent/array/geometry.hpp"
#include "station_agent/source/iq/scene/renderer.hpp"
#include "station_agent/source/iq/scene/scene.hpp"

namespace fixwright::agent::scene {

inline constexpr double kCentre_hz = 156'800'000.0;
inline constexpr double kRate_hz = 200'000.0;
inline const TimePoint kStart = TimePoint{} + std::chrono::hours{500'000};

/// LANTERN-HEAD with five elements on a circle of 0.35 wavelengths, no noise, not quantised.
inline Scene quiet_scene(double radius_m = 0.67) {
  SceneStation station;
  station.name = "LANTERN-HEAD";
  station.position = {41.430, -150.450};
  station.geometry = array::circular_array(5, radius_m);
  station.rate_hz = kRate_hz;
  station.centre_hz = kCentre_hz;
  station.noise_dbfs = -300.0;
  station.bits = 0;
  Scene scene;
  scene.start = kStart;
  scene.stations.push_back(std::move(station));
  return scene;
}

inline SceneEmitter emitter_at(double azimuth_deg, double level_dbfs, Signal signal = {},
                               double offset_hz = 10'000.0) {
  SceneEmitter e;
  e.name = "OSM-12";
  e.frequency_hz = kCentre_hz + offset_hz;
  e.signal = signal;
  e.level_dbfs = level_dbfs;
  e.azimuth_deg = azimuth_deg;
  return e;
}

inline SampleBlock rendered(const Scene& scene, std::size_t frames) {
  Renderer renderer(scene, scene.stations.front().name, scene.start);
  SampleBlock block;
  renderer.render(frames, block);
  return block;
}

inline std::complex<double> mean_product(std::span<const std::complex<float>> a,
                                         std::span<const std::complex<float>> b) {
  std::complex<double> sum;
  for (std::size_t f = 0; f < a.size(); ++f) {
    sum += std::complex<double>(a[f]) * std::conj(std::complex<double>(b[f]));
  }
  return sum / static_cast<double>(a.size());
}

inline double power_db(std::span<const std::complex<float>> a) {
  return 10.0 * std::log10(mean_product(a, a).real());
}

}  // namespace fixwright::agent::scene
