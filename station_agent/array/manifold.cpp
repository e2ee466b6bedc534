#include "station_agent/array/manifold.hpp"

#include <cassert>
#include <cmath>

#include "server/base/angle.hpp"

namespace fixwright::agent::array {

Manifold::Manifold(ArrayGeometry geometry, ArrayCalibration calibration, ManifoldTable table)
    : geometry_(std::move(geometry)),
      calibration_(std::move(calibration)),
      table_(std::move(table)) {
  assert(geometry_problem(geometry_).empty());
  assert(calibration_.elements.empty() ||
         static_cast<int>(calibration_.elements.size()) == elements());
  assert(table_.empty() || table_.elements() == elements());
}

ElementVector Manifold::ideal_steering(double azimuth_deg, double frequency_hz,
                                       double elevation_deg) const {
  const double azimuth_rad = (azimuth_deg - geometry_.orientation_deg) * kDegToRad;
  const double k = 2.0 * std::numbers::pi * frequency_hz / kSpeedOfLight_m_s;
  const double flat = std::cos(elevation_deg * kDegToRad);
  const double kx = k * flat * std::sin(azimuth_rad);
  const double ky = k * flat * std::cos(azimuth_rad);
  const double kz = k * std::sin(elevation_deg * kDegToRad);
  ElementVector a(elements());
  for (int e = 0; e < elements(); ++e) {
    const ElementPosition& p = geometry_.elements[e];
    a[e] = std::polar(1.0, kx * p.x_m + ky * p.y_m + kz * p.z_m);
  }
  return a;
}

ElementVector Manifold::channel_factors(double azimuth_deg, double frequency_hz) const {
  ElementVector c = ElementVector::Ones(elements());
  for (std::size_t e = 0; e < calibration_.elements.size(); ++e) {
    c[e] = calibration_.response(static_cast<int>(e), frequency_hz);
  }
  if (!table_.empty()) {
    c.array() *= table_.factor(azimuth_deg - geometry_.orientation_deg, frequency_hz).array();
  }
  return c;
}

ElementVector Manifold::steering(double azimuth_deg, double frequency_hz,
                                 double elevation_deg) const {
  ElementVector a = ideal_steering(azimuth_deg, frequency_hz, elevation_deg);
  a.array() *= channel_factors(azimuth_deg, frequency_hz).array();
  return a;
}

ElementVector Manifold::steering_slope(double azimuth_deg, double frequency_hz) const {
  // Fine against any lobe, coarse against rounding; the interpolated table has no finer detail.
  constexpr double kStep_deg = 0.01;
  return (steering(azimuth_deg + kStep_deg, frequency_hz) -
          steering(azimuth_deg - kStep_deg, frequency_hz)) /
         (2.0 * kStep_deg * kDegToRad);
}

}  // namespace fixwright::agent::array
