#include "server/geodesy/local_frame.hpp"

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"

namespace fixwright::geodesy {

EnOffset offset(GeoPoint from, GeoPoint to) {
  const GeodesicInverse line = inverse(from, to);
  const double azimuth_rad = line.azimuth1_deg * kDegToRad;
  return {line.range_m * std::sin(azimuth_rad), line.range_m * std::cos(azimuth_rad)};
}

GeoPoint displace(GeoPoint from, EnOffset by) {
  const double azimuth_deg = std::atan2(by.east_m, by.north_m) * kRadToDeg;
  return direct(from, azimuth_deg, std::hypot(by.east_m, by.north_m));
}

double mahalanobis_squared(const EnCovariance& c, EnOffset x) {
  const double determinant = c.ee_m2 * c.nn_m2 - c.en_m2 * c.en_m2;
  return (c.nn_m2 * x.east_m * x.east_m - 2.0 * c.en_m2 * x.east_m * x.north_m +
          c.ee_m2 * x.north_m * x.north_m) /
         determinant;
}

double wrap_longitude(double deg) { return wrap_180(deg); }

}  // namespace fixwright::geodesy
