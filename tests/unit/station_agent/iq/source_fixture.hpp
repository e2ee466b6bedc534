#pragma once
/// The whole chain of a station in one process: scene, detector, azimuth.

#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "server/base/angle.hpp"
#include "server/base/clock.hpp"
#include "station_agent/source/iq/chain/iq_source.hpp"
#include "station_agent/source/iq/scene/scene_stream.hpp"
#include "tests/unit/station_agent/iq/scene_fixture.hpp"

namespace fixwright::agent::iq {

/// Five calibrated elements, 40 dB over the noise of the whole band at -20 dBFS.
inline scene::Scene heard_scene(double azimuth_deg, double level_dbfs, scene::Signal signal) {
  scene::Scene s = scene::quiet_scene();
  s.stations[0].noise_dbfs = -60.0;
  s.emitters = {scene::emitter_at(azimuth_deg, level_dbfs, signal)};
  return s;
}

inline scene::Signal gmsk() {
  scene::Signal s;
  s.modulation = scene::Modulation::fsk;
  s.symbol_rate_hz = 9600.0;
  s.deviation_hz = 2400.0;
  s.bt = 0.5;
  return s;
}

/// One watched channel at the emitter's frequency; the calibration is the scene's own truth.
inline IqSourceConfig source_config(const scene::Scene& scene) {
  IqSourceConfig c;
  const scene::SceneStation& station = scene.stations.front();
  c.channels = {{scene.emitters.front().frequency_hz, 16'000.0}};
  c.calibration.method = array::CalibrationMethod::common_reference;
  c.calibration.date = scene.start - std::chrono::hours{24};
  c.calibration.reference_hz = station.centre_hz;
  c.calibration.elements = station.responses;
  c.calibration.elements.resize(station.geometry.elements.size());
  return c;
}

struct Played {
  std::vector<SourceBearing> bearings;
  std::vector<std::string> complaints;
  std::vector<TimePoint> watermarks;  // one a read

  /// How many complaints hold all of these.
  [[nodiscard]] int told(const std::vector<std::string>& words) const {
    int count = 0;
    for (const std::string& line : complaints) {
      bool all = true;
      for (const std::string& w : words) all = all && line.find(w) != std::string::npos;
      count += all ? 1 : 0;
    }
    return count;
  }
  [[nodiscard]] std::string all_complaints() const {
    std::string text;
    for (const std::string& line : complaints) text += line + "\n";
    return text;
  }
};

/// Reads a source to its end.
inline Played played(Source& source) {
  Played p;
  while (true) {
    SourceBatch batch = source.read(Duration{0});
    for (auto& b : batch.bearings) p.bearings.push_back(std::move(b));
    for (auto& c : batch.complaints) p.complaints.push_back(std::move(c));
    p.watermarks.push_back(batch.low_watermark);
    if (batch.ended) return p;
  }
}

/// Outlives every source.
inline const Clock& host_clock() {
  static const SystemClock clock;
  return clock;
}

inline std::unique_ptr<SampleStream> stream_of(const scene::Scene& scene, Duration lasts) {
  scene::SceneStreamConfig c;
  c.scene = scene;
  c.station = scene.stations.front().name;
  c.start = scene.start;
  c.lasts = lasts;
  return std::make_unique<scene::SceneStream>(std::move(c), host_clock());
}

inline Played played(const scene::Scene& scene, IqSourceConfig config, Duration lasts,
                     const PlanBoard* board = nullptr) {
  auto source = IqSource::open(std::move(config), stream_of(scene, lasts), board, host_clock());
  if (!source) throw std::runtime_error(source.error());
  const auto opened = std::move(source).value();
  return played(*opened);
}

inline Played played(const scene::Scene& scene, Duration lasts) {
  return played(scene, source_config(scene), lasts);
}

}  // namespace fixwright::agent::iq
