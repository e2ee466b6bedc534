/// GeoJSON against the rules of RFC 7946 (H. Butler and others, 2016); sections beside the checks.

#include "server/report/geojson.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/unit/report/sample.hpp"

namespace fixwright::report {
namespace {

using nlohmann::json;
using testing::accepted_fix;
using testing::refused_fix;
using testing::sample_emitter;
using testing::sample_fix;
using testing::sample_view;

json fixes(const std::vector<Fix>& list) { return json::parse(fixes_geojson(list)); }

double doubled_area(const json& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    sum += (double(ring[i + 1][0]) - double(ring[i][0])) *
           (double(ring[i + 1][1]) + double(ring[i][1]) - 2.0 * double(ring[0][1]));
  }
  return -sum;
}

void expect_linear_ring(const json& ring) {
  ASSERT_GE(ring.size(), 4U);            // 3.1.6
  EXPECT_EQ(ring.front(), ring.back());  // 3.1.6
  EXPECT_GT(doubled_area(ring), 0.0);    // 3.1.6: exterior rings are counterclockwise
}

TEST(GeoJson, CollectionOfNothingIsValid) {
  const json j = fixes({});
  EXPECT_EQ(j["type"], "FeatureCollection");  // 3.3
  EXPECT_TRUE(j["features"].is_array());
  EXPECT_TRUE(j["features"].empty());
  EXPECT_FALSE(j.contains("crs"));  // 4
}

TEST(GeoJson, FixIsAPositionAndARegion) {
  const json j = fixes({sample_fix()});
  ASSERT_EQ(j["features"].size(), 2U);
  const json& position = j["features"][0];
  EXPECT_EQ(position["type"], "Feature");
  EXPECT_EQ(position["geometry"], json::parse(R"({"type":"Point","coordinates":[-150.3,41.2]})"));
  EXPECT_EQ(position["id"], "1017/2031-05-04T10:15:02.250000000Z/1/position");
  const json& p = position["properties"];
  EXPECT_EQ(p["fix"], "1017/2031-05-04T10:15:02.250000000Z/1");
  EXPECT_EQ(p["emitter"], "1017/77");
  EXPECT_EQ(p["time"], "2031-05-04T10:15:03.500Z");
  EXPECT_EQ(p["frequency_hz"], 433'920'000.0);
  EXPECT_EQ(p["state"], "final");
  EXPECT_EQ(p["bearings_used"], 3);
  EXPECT_EQ(p["bearings_rejected"], 1);
  EXPECT_EQ(p["probability"], 0.95);
  EXPECT_EQ(p["chi_square"], 1.2346);
  EXPECT_EQ(p["grade"], "checked");
  const json& region = j["features"][1];
  EXPECT_EQ(region["geometry"]["type"], "Polygon");
  ASSERT_EQ(region["geometry"]["coordinates"].size(), 1U);
  expect_linear_ring(region["geometry"]["coordinates"][0]);
  EXPECT_NE(region["id"], position["id"]);
}

TEST(GeoJson, RefusedFixHasNoGeometryButAReason) {
  const json j = fixes({sample_fix(refused_fix())});
  ASSERT_EQ(j["features"].size(), 1U);
  EXPECT_TRUE(j["features"][0]["geometry"].is_null());  // 3.2: unlocated
  EXPECT_EQ(j["features"][0]["properties"]["refusal"], "poor_geometry");
  EXPECT_FALSE(j["features"][0]["properties"].contains("semi_major_m"));
}

TEST(GeoJson, LikelihoodRegionIsWrittenAsItIs) {
  CrossFix fix = accepted_fix();
  fix.region_kind = RegionKind::likelihood;
  fix.region_open = true;
  fix.region = {{41.0, -150.0}, {41.0, -149.0}, {42.0, -149.0}, {41.0, -150.0}};
  const json region = fixes({sample_fix(fix)})["features"][1];
  EXPECT_EQ(region["geometry"]["coordinates"],
            json::parse("[[[-150.0,41.0],[-149.0,41.0],[-149.0,42.0],[-150.0,41.0]]]"));
  EXPECT_EQ(region["properties"]["region_kind"], "likelihood");
  EXPECT_EQ(region["properties"]["region_open"], true);
}

TEST(GeoJson, RegionOverTheAntimeridianIsCutIntoAMultiPolygon) {
  const json j = fixes({sample_fix(accepted_fix({41.2, -179.9999}))});
  const json& geometry = j["features"][1]["geometry"];
  EXPECT_EQ(geometry["type"], "MultiPolygon");  // 3.1.9
  ASSERT_EQ(geometry["coordinates"].size(), 2U);
  for (const json& polygon : geometry["coordinates"]) {
    expect_linear_ring(polygon[0]);
    const bool east = double(polygon[0][0][0]) > 0.0;
    for (const json& position : polygon[0]) {
      EXPECT_EQ(double(position[0]) > 0.0, east);
      EXPECT_LE(std::abs(double(position[0])), 180.0);
    }
  }
}

TEST(GeoJson, CoordinatesCarrySevenDigits) {
  const json j = fixes({sample_fix(accepted_fix({41.123456789, -150.987654321}))});
  EXPECT_EQ(j["features"][0]["geometry"]["coordinates"].dump(), "[-150.9876543,41.1234568]");
}

TEST(GeoJson, EmitterCarriesWhatTheRegisterSays) {
  const json j = json::parse(emitters_geojson(std::vector{sample_view()}));
  ASSERT_EQ(j["features"].size(), 2U);
  const json& p = j["features"][0]["properties"];
  EXPECT_EQ(p["emitter"], "1017/77");
  EXPECT_EQ(p["name"], "Lantern relay");
  EXPECT_EQ(p["register"], "position_disagrees");
  EXPECT_EQ(p["licence"], "OSM-12");
  EXPECT_EQ(p["licence_distance_m"], 2143.2);
  EXPECT_EQ(p["licence_frequency_offset_hz"], 5230.0);
  EXPECT_EQ(p["first_heard"], "2031-05-04T09:00:00.000Z");
  EXPECT_EQ(p["stations"], json::parse("[1,2,3]"));
  EXPECT_FALSE(p.contains("speed_m_per_s"));
}

TEST(GeoJson, MovingEmitterCarriesItsVelocity) {
  Emitter e = sample_emitter();
  e.motion = Motion::moving;
  e.velocity = Velocity{13.4, 271.25, 0.6};
  const json j = json::parse(emitters_geojson(std::vector{EmitterView{e, {}, {}, false, {}}}));
  const json& p = j["features"][0]["properties"];
  EXPECT_EQ(p["motion"], "moving");
  EXPECT_EQ(p["speed_m_per_s"], 13.4);
  EXPECT_FALSE(p.contains("register"));
}

TEST(GeoJson, NameThatIsNotUtf8StillGivesValidJson) {
  EmitterView v = sample_view();
  v.name = "bad \xFF name \"quoted\"";
  const json j = json::parse(emitters_geojson(std::vector{v}));
  EXPECT_EQ(j["features"][0]["properties"]["name"], "bad \xEF\xBF\xBD name \"quoted\"");
}

TEST(GeoJson, ReadersAreTurnedFromTakingARegionForProof) {
  EXPECT_THAT(std::string{fixes({})["note"]},
              ::testing::HasSubstr("never proof"));  // 6.1 allows it
}

}  // namespace
}  // namespace fixwright::report
