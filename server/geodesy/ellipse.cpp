#include "server/geodesy/ellipse.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "server/base/angle.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::geodesy {

bool is_positive_definite(const EnCovariance& c) {
  if (!std::isfinite(c.ee_m2) || !std::isfinite(c.en_m2) || !std::isfinite(c.nn_m2)) {
    return false;
  }
  return c.ee_m2 > 0.0 && c.nn_m2 > 0.0 && c.ee_m2 * c.nn_m2 > c.en_m2 * c.en_m2;
}

double ellipse_factor(double p) {
  assert(p > 0.0 && p < 1.0);
  return std::sqrt(-2.0 * std::log1p(-p));
}

ErrorEllipse error_ellipse(const EnCovariance& c, double p) {
  assert(is_positive_definite(c));
  const double k = ellipse_factor(p);
  const double mean = 0.5 * (c.ee_m2 + c.nn_m2);
  const double spread = std::hypot(0.5 * (c.ee_m2 - c.nn_m2), c.en_m2);
  const double major_m2 = mean + spread;
  // The determinant over the larger eigenvalue: no cancellation for a thin ellipse.
  const double minor_m2 = (c.ee_m2 * c.nn_m2 - c.en_m2 * c.en_m2) / major_m2;
  // Azimuth counts from north, so north plays the part of x.
  const double azimuth_rad =
      spread > 0.0 ? 0.5 * std::atan2(2.0 * c.en_m2, c.nn_m2 - c.ee_m2) : 0.0;
  const double azimuth_deg = wrap_360(azimuth_rad * kRadToDeg);
  return {k * std::sqrt(major_m2), k * std::sqrt(minor_m2), std::fmod(azimuth_deg, 180.0), p};
}

EnCovariance covariance_of(const ErrorEllipse& e) {
  assert(e.semi_major_m > 0.0 && e.semi_minor_m > 0.0);
  const double k = ellipse_factor(e.probability);
  const double major_m2 = std::pow(e.semi_major_m / k, 2);
  const double minor_m2 = std::pow(e.semi_minor_m / k, 2);
  const double s = std::sin(e.orientation_deg * kDegToRad);
  const double c = std::cos(e.orientation_deg * kDegToRad);
  return {major_m2 * s * s + minor_m2 * c * c, (major_m2 - minor_m2) * s * c,
          major_m2 * c * c + minor_m2 * s * s};
}

std::vector<GeoPoint> ellipse_ring(GeoPoint centre, const ErrorEllipse& e, int points) {
  assert(points >= 8);
  const double s = std::sin(e.orientation_deg * kDegToRad);
  const double c = std::cos(e.orientation_deg * kDegToRad);
  std::vector<GeoPoint> ring;
  ring.reserve(static_cast<std::size_t>(points) + 1);
  for (int i = 0; i < points; ++i) {
    const double turn = -2.0 * std::numbers::pi * i / points;  // azimuth falls: counter-clockwise
    const double along_m = e.semi_major_m * std::cos(turn);
    const double across_m = e.semi_minor_m * std::sin(turn);
    ring.push_back(displace(centre, {along_m * s + across_m * c, along_m * c - across_m * s}));
  }
  ring.push_back(ring.front());
  return ring;
}

bool ellipse_holds(GeoPoint centre, const ErrorEllipse& e, GeoPoint point) {
  const double k = ellipse_factor(e.probability);
  return mahalanobis_squared(covariance_of(e), offset(centre, point)) <= k * k;
}

double crossing_angle_deg(double azimuth_a_deg, double azimuth_b_deg) {
  const double apart = std::abs(wrap_180(azimuth_a_deg - azimuth_b_deg));
  return std::min(apart, 180.0 - apart);
}

}  // namespace fixwright::geodesy
