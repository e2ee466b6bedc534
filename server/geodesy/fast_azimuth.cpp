#include "server/geodesy/fast_azimuth.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::geodesy {

namespace {

// WGS84 (NIMA TR8350.2): defining and derived constants.
constexpr double kA_m = 6378137.0;
constexpr double kF = 1.0 / 298.257223563;
constexpr double kE2 = kF * (2.0 - kF);
constexpr double kSecondE2 = kE2 / (1.0 - kE2);
constexpr double kMeanRadius_m = 6371000.0;

Vec3 place_of_normal(const Vec3& up) {
  const double n_m = kA_m / std::sqrt(1.0 - kE2 * up[2] * up[2]);
  return {n_m * up[0], n_m * up[1], n_m * (1.0 - kE2) * up[2]};
}

Vec3 cross(const Vec3& a, const Vec3& b) {
  return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}

}  // namespace

SurfacePoint surface_point(GeoPoint p) {
  const double latitude_rad = p.latitude_deg * kDegToRad;
  const double longitude_rad = p.longitude_deg * kDegToRad;
  const double sin_lat = std::sin(latitude_rad);
  const double cos_lat = std::cos(latitude_rad);
  const double sin_lon = std::sin(longitude_rad);
  const double cos_lon = std::cos(longitude_rad);
  const Vec3 up{cos_lat * cos_lon, cos_lat * sin_lon, sin_lat};
  return {up,
          {-sin_lon, cos_lon, 0.0},
          {-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat},
          place_of_normal(up)};
}

SurfacePoint surface_point_of_normal(const Vec3& up) {
  const double from_axis = std::sqrt(up[0] * up[0] + up[1] * up[1]);
  const Vec3 east =
      from_axis > 0.0 ? Vec3{-up[1] / from_axis, up[0] / from_axis, 0.0} : Vec3{0.0, 1.0, 0.0};
  return {up, east, cross(up, east), place_of_normal(up)};
}

SurfacePoint moved(const SurfacePoint& from, double east_m, double north_m) {
  // Radii of curvature, so that a metre is a metre.
  const double w2 = 1.0 - kE2 * from.up[2] * from.up[2];
  const double prime_vertical_m = kA_m / std::sqrt(w2);
  const double meridian_m = prime_vertical_m * (1.0 - kE2) / w2;
  const double e = east_m / prime_vertical_m;
  const double n = north_m / meridian_m;
  Vec3 up{};
  for (std::size_t i = 0; i < 3; ++i) {
    up[i] = from.up[i] + e * from.east[i] + n * from.north[i];
  }
  const double length = std::sqrt(dot(up, up));
  return surface_point_of_normal({up[0] / length, up[1] / length, up[2] / length});
}

GeoPoint geo_point(const SurfacePoint& p) {
  return {std::atan2(p.up[2], std::hypot(p.up[0], p.up[1])) * kRadToDeg,
          wrap_longitude(std::atan2(p.up[1], p.up[0]) * kRadToDeg)};
}

StationFrame station_frame(GeoPoint station) {
  const SurfacePoint at = surface_point(station);
  const double sin_lat = at.up[2];
  const double cos_lat = std::cos(station.latitude_deg * kDegToRad);
  const double n_m = kA_m / std::sqrt(1.0 - kE2 * sin_lat * sin_lat);
  return {at, kSecondE2 * cos_lat * cos_lat / (12.0 * n_m * n_m),
          kSecondE2 * sin_lat * cos_lat / (24.0 * n_m * n_m * n_m)};
}

AzimuthView fast_azimuth(const StationFrame& station, const SurfacePoint& point) {
  constexpr double kLeast_m2 = 1e-2;  // nearer than 10 cm a bearing means nothing
  const Vec3 chord{point.place_m[0] - station.at.place_m[0],
                   point.place_m[1] - station.at.place_m[1],
                   point.place_m[2] - station.at.place_m[2]};
  const double e = dot(chord, station.at.east);
  const double n = dot(chord, station.at.north);
  const double s2 = std::max(dot(chord, chord), kLeast_m2);
  const double s = std::sqrt(s2);
  const double flat2 = std::max(e * e + n * n, kLeast_m2);
  // sin(2A) = 2 e n / flat^2, sin(A) = e / flat.
  const double azimuth_rad = std::atan2(e, n) - station.second_order * s2 * 2.0 * e * n / flat2 +
                             station.third_order * s2 * s * e / std::sqrt(flat2);
  // The forward azimuth at the point, from the chord in the point's own frame.
  const double e2 = dot(chord, point.east);
  const double n2 = dot(chord, point.north);
  const double flat_there = std::sqrt(std::max(e2 * e2 + n2 * n2, kLeast_m2));
  const double half = s / (2.0 * kMeanRadius_m);
  const double reduced_m = s * std::sqrt(std::max(1.0 - half * half, 1e-6));
  const double scale = 1.0 / (flat_there * reduced_m);
  return {azimuth_rad, n2 * scale, -e2 * scale, s};
}

AzimuthView exact_azimuth(GeoPoint station, GeoPoint point) {
  const GeodesicInverse line = inverse(station, point);
  const double azimuth2_rad = line.azimuth2_deg * kDegToRad;
  const double reduced_m = std::max(line.reduced_length_m, 1e-3);
  return {wrap_180(line.azimuth1_deg) * kDegToRad, std::cos(azimuth2_rad) / reduced_m,
          -std::sin(azimuth2_rad) / reduced_m, line.range_m};
}

}  // namespace fixwright::geodesy
