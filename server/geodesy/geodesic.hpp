#pragma once
/// Geodesics on WGS84: the exact solutions, by C. F. F. Karney's algorithms (J. Geodesy 87 (2013)
/// 43) as GeographicLib has them. About 1 us each; fast_azimuth.hpp is the quick one.

#include "server/base/geo.hpp"

namespace fixwright::geodesy {

/// The geodesic from one point to another.
struct GeodesicInverse {
  double azimuth1_deg = 0.0;      // at the first point, from true north, [0, 360)
  double azimuth2_deg = 0.0;      // forward, at the second point, [0, 360)
  double range_m = 0.0;           // length, >= 0
  double reduced_length_m = 0.0;  // m12: how far a small turn at the first point moves the second
};

/// Accuracy: azimuths 1e-13 deg, range 10 nm (tests/published/data/geodesic_lines.csv).
/// Points that coincide give range 0 and azimuth 180 (GeographicLib's convention): ask the range.
GeodesicInverse inverse(GeoPoint from, GeoPoint to);

/// The point `range_m` along the geodesic that leaves `from` at `azimuth_deg`. A negative range
/// goes backwards. Longitude in [-180, 180).
GeoPoint direct(GeoPoint from, double azimuth_deg, double range_m);

/// Length of the geodesic, metres.
double distance_m(GeoPoint a, GeoPoint b);

/// Rate of the azimuth at a station while the far end moves: exact, from the geodesic.
struct AzimuthSlope {
  double per_east_deg_per_m = 0.0;
  double per_north_deg_per_m = 0.0;
};

/// (cos azi2, -sin azi2) / m12. \pre reduced_length_m is not 0.
AzimuthSlope azimuth_slope(const GeodesicInverse& line);

}  // namespace fixwright::geodesy
