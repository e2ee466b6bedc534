#pragma once
/// What a simulated station measures of a simulated emitter. Pure: the same scenario, station,
/// emitter and tick give the same bearing to the bit.

#include <cstdint>
#include <optional>

#include "station_agent/source/simulated/scenario.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent {

/// Geodesic azimuth and distance on WGS84.
struct AzimuthDistance {
  double azimuth_deg = 0.0;  // at `from`, [0, 360)
  double distance_m = 0.0;
};
AzimuthDistance azimuth_distance(const GeoPoint& from, const GeoPoint& to);

/// How far one reflection turns the azimuth that a small antenna reads, degrees, positive
/// clockwise: the direction of the phase gradient of two plane waves. In phase it is
/// atan(r sin D / (1 + r cos D)), in counter-phase the same with -r.
/// \param ratio            amplitude of the second ray over the first, r, [0, 1).
/// \param reflection_deg   azimuth of the second ray less that of the first, D.
/// \param phase_deg        phase of the second ray at the antenna, relative to the first.
/// Source: superposition of two plane waves, derived in the code; the closed forms are what
/// tests/unit/station_agent/measurement_test.cpp holds it to.
double two_ray_bias_deg(double ratio, double reflection_deg, double phase_deg);

/// The bearing that `station` takes of `emitter` at its tick, if it hears it then. Tick k
/// begins k intervals after the scenario's start, later by a phase of the pair's own, so that
/// stations do not measure in step.
std::optional<SourceBearing> measure(const Scenario& scenario, const SimulatedStation& station,
                                     const SimulatedEmitter& emitter, std::int64_t tick);

/// Start of that measurement, whether heard or not.
TimePoint measurement_start(const Scenario& scenario, const SimulatedStation& station,
                            const SimulatedEmitter& emitter, std::int64_t tick);

/// The false bearing of a station in one second of the scenario, if there is one then.
std::optional<SourceBearing> clutter(const Scenario& scenario, const SimulatedStation& station,
                                     std::int64_t second);

}  // namespace fixwright::agent
