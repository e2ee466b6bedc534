/// Source of the rules: RFC 7946 (GeoJSON), sections 3.1.1 (longitude first), 3.1.6 (rings closed,
/// outer ring counter-clockwise) and 3.1.9 (cut at the antimeridian).

#include "server/web/http/region_geometry.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

namespace fixwright::web {
namespace {

using nlohmann::json;

/// Shoelace formula, on the map; positive for counter-clockwise.
double area_deg2(const json& ring) {
  double twice = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    twice += ring[i][0].get<double>() * ring[i + 1][1].get<double>() -
             ring[i + 1][0].get<double>() * ring[i][1].get<double>();
  }
  return twice / 2.0;
}

std::vector<GeoPoint> box(double south, double west, double north, double east) {
  return {{south, west}, {south, east}, {north, east}, {north, west}};
}

TEST(RegionGeometry, PositionIsLongitudeThenLatitude) {
  EXPECT_EQ(position_json({41.21, -150.31}), json::parse("[-150.31, 41.21]"));
}

TEST(RegionGeometry, AClockwiseRingIsTurnedAndClosed) {
  auto ring = box(41.0, -151.0, 42.0, -150.0);
  std::reverse(ring.begin(), ring.end());
  const json polygon = polygon_json(ring);
  EXPECT_EQ(polygon["type"], "Polygon");
  const json& outer = polygon["coordinates"][0];
  ASSERT_EQ(outer.size(), 5U);
  EXPECT_EQ(outer.front(), outer.back());
  EXPECT_DOUBLE_EQ(area_deg2(outer), 1.0);
}

TEST(RegionGeometry, ARingGivenClosedIsNotClosedTwice) {
  auto ring = box(41.0, -151.0, 42.0, -150.0);
  ring.push_back(ring.front());
  EXPECT_EQ(polygon_json(ring)["coordinates"][0].size(), 5U);
}

TEST(RegionGeometry, ARingAcrossTheAntimeridianIsCutIntoTwoPolygons) {
  const json shape = polygon_json(box(-1.0, 179.0, 1.0, -178.0));
  ASSERT_EQ(shape["type"], "MultiPolygon");
  ASSERT_EQ(shape["coordinates"].size(), 2U);
  double sum = 0.0;
  for (const json& polygon : shape["coordinates"]) {
    EXPECT_EQ(polygon[0].front(), polygon[0].back());
    EXPECT_GT(area_deg2(polygon[0]), 0.0);
    sum += area_deg2(polygon[0]);
    double west = 181.0;
    double east = -181.0;
    for (const json& position : polygon[0]) {
      west = std::min(west, position[0].get<double>());
      east = std::max(east, position[0].get<double>());
    }
    EXPECT_TRUE((west == 179.0 && east == 180.0) || (west == -180.0 && east == -178.0))
        << west << " to " << east;
  }
  EXPECT_NEAR(sum, 6.0, 1e-9);  // 3 by 2 degrees: rounding of the arithmetic only
}

TEST(RegionGeometry, ARingThatTouchesTheAntimeridianStaysWhole) {
  EXPECT_EQ(polygon_json(box(-1.0, 178.0, 1.0, -180.0))["type"], "Polygon");
  EXPECT_EQ(polygon_json(box(-1.0, -180.0, 1.0, -178.0))["type"], "Polygon");
}

TEST(RegionGeometry, ARingRoundANorthPoleRunsAlongIt) {
  std::vector<GeoPoint> ring;
  for (int longitude = -180; longitude < 180; longitude += 10) {
    ring.push_back({80.0, static_cast<double>(longitude)});
  }
  const json shape = polygon_json(ring);
  ASSERT_EQ(shape["type"], "Polygon");
  EXPECT_NEAR(area_deg2(shape["coordinates"][0]), 3600.0, 1e-6);  // 360 by 10 degrees
}

TEST(RegionGeometry, ARingRoundTheSouthPoleIsCutAtTheAntimeridianToo) {
  std::vector<GeoPoint> ring;
  for (int longitude = 170; longitude >= -180; longitude -= 10) {
    ring.push_back({-80.0, static_cast<double>(longitude)});
  }
  const json shape = polygon_json(ring);
  ASSERT_EQ(shape["type"], "MultiPolygon");
  double sum = 0.0;
  for (const json& polygon : shape["coordinates"]) sum += area_deg2(polygon[0]);
  EXPECT_NEAR(sum, 3600.0, 1e-6);
}

TEST(RegionGeometry, FewerThanThreePointsAreNoPolygon) {
  EXPECT_TRUE(polygon_json(std::vector<GeoPoint>{}).is_null());
  EXPECT_TRUE(polygon_json(std::vector<GeoPoint>{{1, 1}, {2, 2}, {1, 1}}).is_null());
}

}  // namespace
}  // namespace fixwright::web
