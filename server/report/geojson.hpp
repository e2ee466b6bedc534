#pragma once
/// GeoJSON by RFC 7946: longitude before latitude, WGS84, no "crs", outer rings closed and
/// counter-clockwise, what crosses the antimeridian cut there.
///
/// A fix or emitter is one feature with a Point ("part": "position") and one with its 95 % region
/// ("part": "region"), a Polygon or MultiPolygon; a refused fix is one feature without geometry
/// and with its "refusal". Positions carry 7 digits, 1 cm.

#include <span>
#include <string>
#include <vector>

#include "server/model/fix.hpp"
#include "server/model/views.hpp"

namespace fixwright::report {

/// application/geo+json: one FeatureCollection, one line a feature.
std::string fixes_geojson(std::span<const Fix> fixes);
std::string emitters_geojson(std::span<const EmitterView> emitters);

/// The region of an accepted fix as a closed counter-clockwise ring, longitudes in [-180, 180):
/// its own where it has one, else the ellipse drawn with 72 points.
std::vector<GeoPoint> region_ring(const CrossFix& fix);

}  // namespace fixwright::report
