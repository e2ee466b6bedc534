#pragma once
/// An array whose receivers are not alike, and what measures it.

#include <optional>

#include "station_agent/calibrate/measure.hpp"
#include "tests/unit/station_agent/iq/source_fixture.hpp"

namespace fixwright::agent::calibrate {

/// 1 dB rms of gain and 10 deg rms of phase, drawn once; about their mean.
inline std::vector<array::ElementResponse> uneven() {
  return {
      {0.4, -2.0, 0.0}, {1.1, 12.0, 0.0}, {-1.4, -14.0, 0.0}, {0.9, -8.0, 0.0}, {-1.0, 12.0, 0.0}};
}

/// A reference at this distance from the band's middle, 41 dB over the noise of 16 kHz.
inline scene::SceneEmitter reference_at(double offset_hz, std::optional<double> azimuth_deg,
                                        double level_dbfs = -30.0) {
  scene::SceneEmitter e =
      scene::emitter_at(azimuth_deg.value_or(0.0), level_dbfs, iq::gmsk(), offset_hz);
  e.common_reference = !azimuth_deg;
  return e;
}

/// A bench: LANTERN-HEAD with uneven receivers and one reference, 10 kHz up.
struct Bench {
  scene::Scene scene = scene::quiet_scene();
  CalibrationQuestion question;

  explicit Bench(std::optional<double> azimuth_deg = std::nullopt) {
    scene.stations[0].noise_dbfs = -60.0;
    scene.stations[0].responses = uneven();
    add(reference_at(10'000.0, azimuth_deg));
    question.lasts = std::chrono::seconds{1};
    question.date = scene.start;
  }
  void add(const scene::SceneEmitter& e) {
    scene.emitters.push_back(e);
    std::optional<check::TrueLine> line;
    if (!e.common_reference) line = check::TrueLine{*e.azimuth_deg, 20'000.0};
    question.references.push_back({e.frequency_hz, line});
  }
  void break_from(Duration at, scene::FaultKind kind, std::size_t element, double value = 0.0) {
    scene::Fault f;
    f.kind = kind;
    f.at = at;
    f.element = element;
    f.value = value;
    scene.stations[0].faults.push_back(f);
  }
  [[nodiscard]] Measurement measured() const {
    const auto stream = iq::stream_of(scene, question.lasts + std::chrono::seconds{1});
    return measure(*stream, question);
  }
};

}  // namespace fixwright::agent::calibrate
