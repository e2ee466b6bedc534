#pragma once
/// Rings on the globe as GeoJSON geometry (RFC 7946).

#include <nlohmann/json_fwd.hpp>
#include <span>
#include <vector>

#include "server/base/geo.hpp"

namespace fixwright::web {

/// GeoJSON position: longitude first, 7 decimals (1 cm).
nlohmann::json position_json(const GeoPoint& point);

/// A Polygon: outer ring closed and counter-clockwise. A ring across the antimeridian becomes
/// a MultiPolygon cut there (section 3.1.9); one round a pole is cut there and runs along it.
/// \param ring  three points or more, closed or not, in either sense; neighbours less than
///              180 degrees of longitude apart. Null JSON for fewer.
nlohmann::json polygon_json(std::span<const GeoPoint> ring);

}  // namespace fixwright::web
