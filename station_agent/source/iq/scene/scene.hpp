#pragma once
/// A made world at the level of samples: arrays, emitters, and everything between that bends,
/// weakens or breaks what the receivers deliver. Nothing of it was ever on the air.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"
#include "station_agent/array/calibration.hpp"
#include "station_agent/array/geometry.hpp"
#include "station_agent/source/iq/scene/waveform.hpp"
#include "station_agent/source/simulated/path.hpp"
#include "station_agent/source/simulated/scenario.hpp"

namespace fixwright::agent::scene {

/// A second ray of an emitter's signal.
struct Echo {
  std::string emitter;       // empty: every emitter
  double azimuth_deg = 0.0;  // it comes from there; from true north
  double ratio = 0.0;        // its amplitude over that of the direct ray, [0, 10]
  double phase_deg = 0.0;    // against the direct ray at the array's origin; the delay's included
  double delay_s = 0.0;      // of the envelope, 0 to kMaxDelay_s
};
inline constexpr double kMaxDelay_s = 1e-3;

/// What goes wrong in the receiver, from a moment of the stream on.
enum class FaultKind {
  dead,        // an element delivers next to nothing, not even noise
  deaf,        // an element delivers noise, its antenna is gone
  stuck,       // an element's converter repeats one value
  swapped,     // two elements are plugged the wrong way round
  slip,        // an element falls `frames` behind the others, as when it alone lost samples
  rotation,    // an element's oscillator is off by `value` Hz: no common phase any more
  phase_step,  // an element's phase jumps by `value` degrees
  drop,        // `frames` of all elements are lost, and the receiver says so
  clock_step,  // the times of the samples jump by `value` seconds
};

struct Fault {
  FaultKind kind = FaultKind::dead;
  Duration at{};            // after the stream's first frame
  std::size_t element = 0;  // from 0
  std::size_t other = 0;    // of swapped
  std::uint64_t frames = 0;
  double value = 0.0;
};

struct SceneStation {
  std::string name;
  GeoPoint position;
  array::ArrayGeometry geometry;
  double rate_hz = 0.0;         // complex samples of each element a second
  double centre_hz = 0.0;       // of the sampled band
  double noise_dbfs = -60.0;    // of each element, in the whole sampled band
  double full_scale_dbm = 0.0;  // received power that a level of 0 dBFS stands for
  int bits = 8;  // of the converter, 2 to 16; 0: not quantised, clipped at full scale
  /// What each element's way to the converter does; empty: all alike.
  std::vector<array::ElementResponse> responses;
  /// Amplitude that nearest neighbours pick up from each other, falling with distance, and its
  /// phase beyond that of the way between them. 0: none.
  double coupling = 0.0;
  double coupling_phase_deg = 0.0;
  std::vector<Echo> echoes;
  std::vector<Fault> faults;
};

struct SceneEmitter {
  std::string name;
  double frequency_hz = 0.0;  // of the carrier
  Signal signal;
  Schedule schedule;
  /// At each element, 0: full scale. Absent: by power, distance and free-space loss.
  std::optional<double> level_dbfs;
  double eirp_dbw = 0.0;
  std::optional<double> azimuth_deg;  // at every station, from true north; absent: by its path
  double elevation_deg = 0.0;
  std::vector<Path> path;  // none or one
  /// Fed to all receivers alike instead of the antennas: a common reference signal.
  bool common_reference = false;
};

struct Scene {
  std::uint64_t seed = 1;
  TimePoint start;  // where schedules and paths begin; before it they run backwards
  std::vector<SceneStation> stations;
  std::vector<SceneEmitter> emitters;

  [[nodiscard]] const SceneStation* station(std::string_view name) const;
};

/// How an emitter stands to a station at a moment.
struct Arrival {
  double azimuth_deg = 0.0;  // true, of the direct ray
  double level_dbfs = 0.0;   // of one element with a response of 0 dB
};
Arrival arrival(const Scene& scene, const SceneStation& station, const SceneEmitter& emitter,
                TimePoint at);

/// Whether the station's sampled band holds the emitter's carrier.
bool is_in_band(const SceneStation& station, const SceneEmitter& emitter);

}  // namespace fixwright::agent::scene
