#pragma once
/// A made world: stations, emitters, what goes wrong between them.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"
#include "station_agent/source/simulated/path.hpp"

namespace fixwright::agent {

/// A second ray that reaches a station from a fixed direction and bends its azimuths.
struct Reflection {
  std::string emitter;                // empty: every emitter
  double azimuth_deg = 0.0;           // of the reflector, from true north, [0, 360)
  double ratio = 0.0;                 // amplitude relative to the direct ray, [0, 1)
  double phase_deg = 0.0;             // of the second ray, at the first moment
  double phase_rate_deg_per_s = 0.0;  // as when the reflector or the emitter moves
};

struct SimulatedStation {
  std::string name;
  GeoPoint position;
  double sigma_deg = 2.0;                // of the noise, and reported, (0, 90]
  double bias_deg = 0.0;                 // added to every azimuth, not reported
  double range_m = 100'000.0;            // hears nothing beyond
  double detection_probability = 1.0;    // of each bearing, (0, 1]
  double gross_error_probability = 0.0;  // a bearing's azimuth is anything, [0, 1)
  double clutter_per_minute = 0.0;       // false bearings, on the emitters' frequencies
  double noise_floor_dbm = -115.0;       // in the receiver's bandwidth
  double full_scale_dbm = -20.0;         // where level is 0 dBFS
  std::vector<Reflection> reflections;
};

struct Schedule {
  Duration period{};  // 0: always on
  Duration on{};      // of each period
  Duration offset{};  // the first period begins this long after the scenario
};

struct SimulatedEmitter {
  std::string name;
  double frequency_hz = 0.0;
  double frequency_sigma_hz = 0.0;  // of the measured frequency
  double bandwidth_hz = 0.0;        // 0: not measured
  double eirp_dbw = 0.0;
  Duration interval = std::chrono::seconds{1};            // between bearings of one station
  Duration integration = std::chrono::milliseconds{200};  // of each, at most the interval
  Schedule schedule;
  std::vector<std::string> only_stations;  // empty: whoever is in range
  std::string label;                       // decoded identity, empty: none
  Path path;
};

struct Scenario {
  std::uint64_t seed = 0;
  TimePoint start;  // where schedules and paths begin; before it they run backwards
  std::vector<SimulatedStation> stations;
  std::vector<SimulatedEmitter> emitters;

  [[nodiscard]] const SimulatedStation* station(std::string_view name) const;
  /// The longest integration: how far a bearing's start lies before it is known, at most.
  [[nodiscard]] Duration longest_integration() const;
};

/// Whether an emitter with this schedule transmits all through [from, to].
bool is_on(const Schedule& schedule, Duration from, Duration to);

}  // namespace fixwright::agent
