#pragma once
/// What each element's samples get of a plane wave: geometry, coupling, and the way to the
/// converter.

#include <Eigen/Core>

#include "station_agent/array/elements.hpp"
#include "station_agent/source/iq/scene/scene.hpp"

namespace fixwright::agent::scene {

/// Phase of a wave at each element against the origin: 2 pi f / c times the element's way towards
/// the transmitter. For two elements d apart that is 2 pi d cos(angle) / wavelength.
array::ElementVector plane_wave(const array::ArrayGeometry& geometry, double azimuth_deg,
                                double elevation_deg, double frequency_hz);

/// 1 on the diagonal; beside it SceneStation::coupling, falling as 1/distance and turned by the
/// way between the two.
array::ElementMatrix coupling_matrix(const SceneStation& station, double frequency_hz);

/// 10^(gain/20) exp(i (phase - 2 pi (f - centre) delay)) of each element.
array::ElementVector responses(const SceneStation& station, double frequency_hz);

/// All three.
array::ElementVector element_weights(const SceneStation& station, double azimuth_deg,
                                     double elevation_deg, double frequency_hz);

}  // namespace fixwright::agent::scene
