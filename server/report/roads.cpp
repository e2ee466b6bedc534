#include "server/report/roads.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::report {

namespace {

using geodesy::EnOffset;
using nlohmann::json;

void add_line(const json& coordinates, const std::string& name, std::vector<Road>& roads) {
  Road road{name, {}};
  for (const auto& vertex : coordinates) {
    road.line.push_back({vertex.at(1).get<double>(), vertex.at(0).get<double>()});
  }
  roads.push_back(std::move(road));
}

void add_feature(const json& feature, std::vector<Road>& roads) {
  const json& properties = feature.at("properties");
  if (!properties.is_object() || properties.value("kind", "") != "road") return;
  const json& geometry = feature.at("geometry");
  const std::string name = properties.value("name", "");
  const std::string type = geometry.at("type");
  if (type == "LineString") add_line(geometry.at("coordinates"), name, roads);
  if (type != "MultiLineString") return;
  for (const auto& line : geometry.at("coordinates")) add_line(line, name, roads);
}

/// The point of a segment that is nearest to the origin.
EnOffset nearest_of(EnOffset a, EnOffset b) {
  const double east_m = b.east_m - a.east_m;
  const double north_m = b.north_m - a.north_m;
  const double square = east_m * east_m + north_m * north_m;
  if (square == 0.0) return a;
  const double share = std::clamp(-(a.east_m * east_m + a.north_m * north_m) / square, 0.0, 1.0);
  return {a.east_m + share * east_m, a.north_m + share * north_m};
}

}  // namespace

Result<std::vector<Road>> roads_in(std::string_view geojson) {
  const json whole = json::parse(geojson, nullptr, false);
  if (!whole.is_object() || whole.value("type", "") != "FeatureCollection") {
    return Error{"it is no GeoJSON FeatureCollection"};
  }
  std::vector<Road> roads;
  try {
    for (const auto& feature : whole.at("features")) add_feature(feature, roads);
  } catch (const json::exception&) {
    return Error{"a feature of it is broken"};
  }
  return roads;
}

std::optional<RoadPoint> nearest_road(GeoPoint place, std::span<const Road> roads,
                                      double within_m) {
  std::optional<RoadPoint> best;
  for (const Road& road : roads) {
    std::vector<EnOffset> line;
    for (const GeoPoint& p : road.line) line.push_back(geodesy::offset(place, p));
    for (std::size_t i = 1; i < line.size(); ++i) {
      const EnOffset at = nearest_of(line[i - 1], line[i]);
      const double distance_m = std::hypot(at.east_m, at.north_m);
      if (distance_m > (best ? best->distance_m : within_m)) continue;
      const double azimuth_deg = wrap_360(std::atan2(at.east_m, at.north_m) * kRadToDeg);
      best = RoadPoint{road.name, geodesy::direct(place, azimuth_deg, distance_m), distance_m,
                       azimuth_deg};
    }
  }
  return best;
}

}  // namespace fixwright::report
