#include "server/web/http/region_geometry.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "server/base/angle.hpp"

namespace fixwright::web {

namespace {

/// A point of the unrolled map: longitude runs on past 180.
struct MapPoint {
  double x_deg = 0.0;
  double y_deg = 0.0;
};
using MapRing = std::vector<MapPoint>;  // open: the last point is not the first

double round_7(double deg) { return std::round(deg * 1e7) / 1e7; }

MapRing unroll(std::span<const GeoPoint> ring) {
  MapRing out;
  double x = ring.front().longitude_deg;
  for (const GeoPoint& point : ring) {
    x += wrap_180(point.longitude_deg - x);
    out.push_back({x, point.latitude_deg});
  }
  return out;
}

/// A ring that ends a whole turn from where it began holds a pole: the nearer one.
void close_over_pole(MapRing& ring) {
  const double first = ring.front().x_deg;
  const double last = ring.back().x_deg;
  const double end = last + wrap_180(first - last);
  if (std::abs(end - first) < 180.0) return;
  const double pole = ring.front().y_deg < 0.0 ? -90.0 : 90.0;
  ring.push_back({end, ring.front().y_deg});
  ring.push_back({end, pole});
  ring.push_back({first, pole});
}

/// Sutherland and Hodgman (1974): the part on one side of a meridian. `side` +1 keeps east.
MapRing clip(const MapRing& ring, double meridian_deg, double side) {
  MapRing out;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const MapPoint& a = ring[i];
    const MapPoint& b = ring[(i + 1) % ring.size()];
    const double da = (a.x_deg - meridian_deg) * side;
    const double db = (b.x_deg - meridian_deg) * side;
    if (da >= 0.0) out.push_back(a);
    if ((da > 0.0 && db < 0.0) || (da < 0.0 && db > 0.0)) {
      const double share = da / (da - db);
      out.push_back({meridian_deg, a.y_deg + share * (b.y_deg - a.y_deg)});
    }
  }
  return out;
}

double twice_signed_area(const MapRing& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const MapPoint& a = ring[i];
    const MapPoint& b = ring[(i + 1) % ring.size()];
    sum += (a.x_deg - ring[0].x_deg) * (b.y_deg - ring[0].y_deg) -
           (b.x_deg - ring[0].x_deg) * (a.y_deg - ring[0].y_deg);
  }
  return sum;
}

/// The coordinates of one Polygon.
nlohmann::json outer_ring_json(MapRing ring, double turn_deg) {
  if (twice_signed_area(ring) < 0.0) std::reverse(ring.begin(), ring.end());
  ring.push_back(ring.front());
  nlohmann::json positions = nlohmann::json::array();
  for (const MapPoint& p : ring) {
    positions.push_back({round_7(p.x_deg - turn_deg), round_7(p.y_deg)});
  }
  return nlohmann::json::array({std::move(positions)});
}

}  // namespace

nlohmann::json position_json(const GeoPoint& point) {
  return {round_7(point.longitude_deg), round_7(point.latitude_deg)};
}

nlohmann::json polygon_json(std::span<const GeoPoint> ring) {
  if (ring.size() > 1 && ring.front() == ring.back()) ring = ring.first(ring.size() - 1);
  if (ring.size() < 3) return nullptr;
  MapRing unrolled = unroll(ring);
  close_over_pole(unrolled);
  nlohmann::json parts = nlohmann::json::array();
  for (const double turn : {-360.0, 0.0, 360.0}) {
    const MapRing part = clip(clip(unrolled, turn - 180.0, 1.0), turn + 180.0, -1.0);
    if (part.size() < 3 || twice_signed_area(part) == 0.0) continue;
    parts.push_back(outer_ring_json(part, turn));
  }
  if (parts.empty()) return nullptr;
  if (parts.size() == 1) return {{"type", "Polygon"}, {"coordinates", parts[0]}};
  return {{"type", "MultiPolygon"}, {"coordinates", std::move(parts)}};
}

}  // namespace fixwright::web
