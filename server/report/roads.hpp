#pragma once
/// Public roads of a club's basemap, and where the nearest one passes a place.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/geo.hpp"
#include "server/base/result.hpp"

namespace fixwright::report {

struct Road {
  std::string name;  // may be empty
  std::vector<GeoPoint> line;
};

/// The LineStrings and MultiLineStrings of a GeoJSON FeatureCollection whose property `kind` is
/// "road". Error: a few words on why the text is none.
Result<std::vector<Road>> roads_in(std::string_view geojson);

struct RoadPoint {
  std::string name;
  GeoPoint position;
  double distance_m = 0.0;   // from the place
  double azimuth_deg = 0.0;  // from the place to it, [0, 360)
};

/// Nothing when there is no road within so far. Within some tens of km of the place: by the local
/// frame there, whose error is far below that of a drawn road.
std::optional<RoadPoint> nearest_road(GeoPoint place, std::span<const Road> roads, double within_m);

}  // namespace fixwright::report
