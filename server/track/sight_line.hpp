#pragma once
/// The azimuth from a station to a place, the quick way where that is exact enough.

#include "server/base/geo.hpp"
#include "server/geodesy/fast_azimuth.hpp"

namespace fixwright::track {

/// Within geodesy::kFastRange_m by the series (position error under 0.5 mm), beyond it by the
/// geodesic.
geodesy::AzimuthView sight_line(GeoPoint station, GeoPoint place);

/// The place that lies so far east and north. Under a kilometre by a step on the tangent plane
/// (error under 0.1 mm), beyond it by the geodesic.
GeoPoint step_from(GeoPoint place, double east_m, double north_m);

}  // namespace fixwright::track
