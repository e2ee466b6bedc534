#pragma once
/// Reports picked apart, and samples of a scene judged.

#include <string>
#include <vector>

#include "server/geodesy/geodesic.hpp"
#include "station_agent/check/sample_check.hpp"
#include "tests/unit/station_agent/iq/source_fixture.hpp"

namespace fixwright::agent::check {

/// The finding of one area; one that says so where there is none.
inline Finding of(const std::vector<Finding>& all, const std::string& area) {
  for (const Finding& f : all) {
    if (f.area == area) return f;
  }
  return {"missing", Severity::not_applicable, "no finding of the area " + area, ""};
}

inline double figure(const Finding& f, const std::string& name) {
  for (const auto& [n, value] : f.figures) {
    if (n == name) return value;
  }
  return -1e9;
}

/// A bench: LANTERN-HEAD hears one strong emitter for half a second.
struct Bench {
  scene::Scene scene = iq::heard_scene(123.0, -30.0, iq::gmsk());
  SampleQuestion question{.config = iq::source_config(scene)};

  Bench() {
    question.lasts = std::chrono::milliseconds{800};
    question.station = scene.stations[0].position;
  }
  scene::SceneStation& station() { return scene.stations[0]; }
  void break_at_start(scene::FaultKind kind, std::size_t element, double value = 0.0,
                      std::size_t other = 0) {
    scene::Fault f;
    f.kind = kind;
    f.element = element;
    f.other = other;
    f.value = value;
    station().faults.push_back(f);
  }
  /// The emitter as a transmitter of known place, 20 km off in its azimuth.
  void know_the_transmitter(double azimuth_deg = 123.0) {
    scene.emitters[0].azimuth_deg = azimuth_deg;
    const GeoPoint place = geodesy::direct(station().position, azimuth_deg, 20'000.0);
    question.transmitter = KnownTransmitter{place, scene.emitters[0].frequency_hz};
  }
  std::vector<Finding> check() {
    const auto stream = iq::stream_of(scene, std::chrono::seconds{2});
    return check_samples_of(*stream, question);
  }
};

}  // namespace fixwright::agent::check
