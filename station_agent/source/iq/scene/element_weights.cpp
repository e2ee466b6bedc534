#include "station_agent/source/iq/scene/element_weights.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "server/base/angle.hpp"

namespace fixwright::agent::scene {

namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;

double wave_number(double frequency_hz) { return kTurn * frequency_hz / array::kSpeedOfLight_m_s; }

double distance_m(const array::ElementPosition& a, const array::ElementPosition& b) {
  return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m);
}

double nearest_m(const array::ArrayGeometry& geometry) {
  double nearest = 1e9;
  for (std::size_t i = 0; i < geometry.elements.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      nearest = std::min(nearest, distance_m(geometry.elements[i], geometry.elements[k]));
    }
  }
  return nearest;
}

}  // namespace

array::ElementVector plane_wave(const array::ArrayGeometry& geometry, double azimuth_deg,
                                double elevation_deg, double frequency_hz) {
  const double relative = (azimuth_deg - geometry.orientation_deg) * kDegToRad;
  const double elevation = elevation_deg * kDegToRad;
  array::ElementVector wave(geometry.size());
  for (int e = 0; e < geometry.size(); ++e) {
    const auto& p = geometry.elements[static_cast<std::size_t>(e)];
    const double towards_m =
        std::cos(elevation) * (p.x_m * std::sin(relative) + p.y_m * std::cos(relative)) +
        std::sin(elevation) * p.z_m;
    wave(e) = std::polar(1.0, wave_number(frequency_hz) * towards_m);
  }
  return wave;
}

array::ElementMatrix coupling_matrix(const SceneStation& station, double frequency_hz) {
  const int n = station.geometry.size();
  array::ElementMatrix matrix = array::ElementMatrix::Identity(n, n);
  if (station.coupling == 0.0) return matrix;
  const double nearest = nearest_m(station.geometry);
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < n; ++k) {
      if (i == k) continue;
      const double d = distance_m(station.geometry.elements[static_cast<std::size_t>(i)],
                                  station.geometry.elements[static_cast<std::size_t>(k)]);
      matrix(i, k) =
          std::polar(station.coupling * nearest / d,
                     station.coupling_phase_deg * kDegToRad - wave_number(frequency_hz) * d);
    }
  }
  return matrix;
}

array::ElementVector responses(const SceneStation& station, double frequency_hz) {
  array::ElementVector all = array::ElementVector::Ones(station.geometry.size());
  for (std::size_t e = 0; e < station.responses.size(); ++e) {
    const array::ElementResponse& r = station.responses[e];
    all(static_cast<int>(e)) = std::polar(
        std::pow(10.0, r.gain_db / 20.0),
        r.phase_deg * kDegToRad - kTurn * (frequency_hz - station.centre_hz) * r.delay_s);
  }
  return all;
}

array::ElementVector element_weights(const SceneStation& station, double azimuth_deg,
                                     double elevation_deg, double frequency_hz) {
  const array::ElementVector wave =
      plane_wave(station.geometry, azimuth_deg, elevation_deg, frequency_hz);
  const array::ElementVector coupled = coupling_matrix(station, frequency_hz) * wave;
  return responses(station, frequency_hz).cwiseProduct(coupled);
}

}  // namespace fixwright::agent::scene
