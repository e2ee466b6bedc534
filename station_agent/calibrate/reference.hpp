#pragma once
/// What an array is measured with: one signal fed to all receivers alike, or transmitters of
/// known place.

#include <optional>
#include <string>
#include <vector>

#include "server/base/geo.hpp"
#include "server/base/result.hpp"
#include "station_agent/array/geometry.hpp"
#include "station_agent/check/wave_checks.hpp"

namespace fixwright::agent::calibrate {

struct Reference {
  double frequency_hz = 0.0;
  /// How the transmitter lies from the station; none: fed to all receivers alike.
  std::optional<check::TrueLine> line;
};

/// \param transmitters  each "LAT,LON,FREQ_HZ".
/// \param station       its place, where it is known; transmitters need it.
/// One line where neither or both kinds are given, or one of them can't be.
Result<std::vector<Reference>> references_of(const std::vector<double>& common_hz,
                                             const std::vector<std::string>& transmitters,
                                             const std::optional<GeoPoint>& station);

/// How far the wave front of a transmitter so near is from flat: phase at the array's rim against
/// its middle, 2 pi / wavelength (D/2)^2 / (2 range). At 2 D^2 / wavelength, the usual limit of
/// the far field, it is 22.5 deg.
double curvature_deg(const array::ArrayGeometry& geometry, const Reference& reference);
inline constexpr double kMostCurvature_deg = 5.0;  // our choice: a third of the largest residual

/// For people and for the file: "common reference at 156.800000 MHz".
std::string describe(const std::vector<Reference>& references);

}  // namespace fixwright::agent::calibrate
