#pragma once
/// East and north of a point, in metres, along geodesics that leave it (azimuthal equidistant):
/// exact in range and azimuth from the origin, at any latitude and over the antimeridian.

#include "server/base/geo.hpp"

namespace fixwright::geodesy {

struct EnOffset {
  double east_m = 0.0;
  double north_m = 0.0;
};

/// Where `to` lies, seen from `from`.
EnOffset offset(GeoPoint from, GeoPoint to);

/// The point that lies there.
GeoPoint displace(GeoPoint from, EnOffset by);

/// x' C^-1 x: how many sigmas away, squared. \pre positive definite.
double mahalanobis_squared(const EnCovariance& covariance, EnOffset x);

/// Longitude in [-180, 180), as everywhere in this project.
double wrap_longitude(double deg);

}  // namespace fixwright::geodesy
