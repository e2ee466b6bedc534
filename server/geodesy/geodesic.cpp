#include "server/geodesy/geodesic.hpp"

#include <GeographicLib/Geodesic.hpp>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::geodesy {

namespace {
const GeographicLib::Geodesic& wgs84() { return GeographicLib::Geodesic::WGS84(); }
}  // namespace

GeodesicInverse inverse(GeoPoint from, GeoPoint to) {
  double range_m = 0.0;
  double azimuth1_deg = 0.0;
  double azimuth2_deg = 0.0;
  double reduced_m = 0.0;
  wgs84().Inverse(from.latitude_deg, from.longitude_deg, to.latitude_deg, to.longitude_deg, range_m,
                  azimuth1_deg, azimuth2_deg, reduced_m);
  return {wrap_360(azimuth1_deg), wrap_360(azimuth2_deg), range_m, reduced_m};
}

GeoPoint direct(GeoPoint from, double azimuth_deg, double range_m) {
  GeoPoint to;
  wgs84().Direct(from.latitude_deg, from.longitude_deg, azimuth_deg, range_m, to.latitude_deg,
                 to.longitude_deg);
  to.longitude_deg = wrap_longitude(to.longitude_deg);
  return to;
}

double distance_m(GeoPoint a, GeoPoint b) {
  double range_m = 0.0;
  wgs84().Inverse(a.latitude_deg, a.longitude_deg, b.latitude_deg, b.longitude_deg, range_m);
  return range_m;
}

AzimuthSlope azimuth_slope(const GeodesicInverse& line) {
  const double azimuth2_rad = line.azimuth2_deg * kDegToRad;
  const double scale = kRadToDeg / line.reduced_length_m;
  return {std::cos(azimuth2_rad) * scale, -std::sin(azimuth2_rad) * scale};
}

}  // namespace fixwright::geodesy
