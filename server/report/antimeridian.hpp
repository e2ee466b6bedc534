#pragma once
/// Polygons as RFC 7946 wants them: cut at the antimeridian (3.1.9), counter-clockwise, closed.

#include <span>
#include <vector>

#include "server/base/geo.hpp"

namespace fixwright::report {

/// A vertex for output: unlike the model's, its longitude may be 180, the east edge of a part.
struct LonLat {
  double longitude_deg = 0.0;  // [-180, 180]
  double latitude_deg = 0.0;
  friend bool operator==(const LonLat&, const LonLat&) = default;
};
using LonLatRing = std::vector<LonLat>;

/// The parts of a region, each closed and counter-clockwise: one, or one on either side of the
/// antimeridian. A ring round a pole (judged by its mean latitude) is closed along that pole.
/// Edges are straight in longitude and latitude, as in every GeoJSON reader.
/// \param ring  closed; neighbours less than 180 degrees of longitude apart.
/// \return nothing for fewer than three distinct vertices.
std::vector<LonLatRing> cut_at_antimeridian(std::span<const GeoPoint> ring);

/// Twice the signed area in degrees^2: over 0 for counter-clockwise. \pre closed.
double doubled_area(const LonLatRing& ring);

}  // namespace fixwright::report
