#include "server/web/http/view_json.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"
#include "tests/unit/web/fake_page_port.hpp"

namespace fixwright::web {
namespace {

using nlohmann::json;

const StationNames kNames{osmere_stations()};

TEST(EmitterJson, IsTheFeatureThatThePageAndTheGuideDescribe) {
  const json feature = emitter_json(osmere_emitter(), kNames);
  EXPECT_EQ(feature["type"], "Feature");
  EXPECT_EQ(feature["id"], "12/1893456000000000123");
  EXPECT_EQ(feature["properties"], json::parse(R"({
    "channel": 12, "id": "1893456000000000123", "revision": 1, "name": null, "watched": false,
    "state": "confirmed", "motion": "still", "frequency_hz": 433920000.0,
    "stations": ["LANTERN-HEAD", "MOSS-RIDGE", "QUILL-POINT"], "bearings": 33, "looks": 11,
    "first_heard": "2030-01-01T00:00:00.000Z", "last_heard": "2030-01-01T00:00:10.500Z",
    "valid_at": "2030-01-01T00:00:10.500Z", "velocity": null,
    "register": {"verdict": "unregistered", "posterior": 0.97, "licence": null,
                 "distance_m": null, "frequency_offset_hz": null, "evidence": ""},
    "refusal": null, "position": [-150.31, 41.21],
    "ellipse": {"semi_major_m": 420.0, "semi_minor_m": 180.0, "orientation_deg": 30.0,
                "probability": 0.95},
    "region_kind": "ellipse", "region_open": false, "grade": "checked"})"));
}

TEST(EmitterJson, AnIdentityPast53BitsIsTextSoThatNoBrowserRoundsIt) {
  const json feature = emitter_json(osmere_emitter(12, 9'007'199'254'740'993), kNames);
  EXPECT_TRUE(feature["properties"]["id"].is_string());
  EXPECT_EQ(feature["properties"]["id"], "9007199254740993");
}

TEST(EmitterJson, TheRegionIsTheEllipseOnTheEllipsoid) {
  const EmitterView view = osmere_emitter();
  const json feature = emitter_json(view, kNames);
  ASSERT_EQ(feature["geometry"]["type"], "Polygon");
  const json& ring = feature["geometry"]["coordinates"][0];
  EXPECT_GE(ring.size(), 33U);
  double nearest_m = 1e9;
  double farthest_m = 0.0;
  for (const json& position : ring) {
    const double range_m =
        geodesy::distance_m(view.emitter.fix.position, {position[1], position[0]});
    nearest_m = std::min(nearest_m, range_m);
    farthest_m = std::max(farthest_m, range_m);
  }
  EXPECT_NEAR(farthest_m, 420.0, 0.1);  // positions are rounded to 1 cm
  EXPECT_NEAR(nearest_m, 180.0, 0.1);
}

TEST(EmitterJson, ALikelihoodRegionIsShownItselfNotItsEllipse) {
  EmitterView view = osmere_emitter();
  view.emitter.fix.region_kind = RegionKind::likelihood;
  view.emitter.fix.region = {{41.2, -150.4}, {41.2, -150.2}, {41.3, -150.3}, {41.2, -150.4}};
  view.emitter.fix.region_open = true;
  const json feature = emitter_json(view, kNames);
  EXPECT_EQ(feature["geometry"], json::parse(R"({"type": "Polygon", "coordinates":
    [[[-150.4, 41.2], [-150.2, 41.2], [-150.3, 41.3], [-150.4, 41.2]]]})"));
  EXPECT_EQ(feature["properties"]["region_open"], true);
}

TEST(EmitterJson, ARefusedFixHasNoPlaceAndSaysWhy) {
  EmitterView view = osmere_emitter();
  view.emitter.fix.refusal = Refusal::poor_geometry;
  const json feature = emitter_json(view, kNames);
  EXPECT_TRUE(feature["geometry"].is_null());
  EXPECT_TRUE(feature["properties"]["position"].is_null());
  EXPECT_TRUE(feature["properties"]["ellipse"].is_null());
  EXPECT_EQ(feature["properties"]["refusal"], "poor_geometry");
}

TEST(EmitterJson, AMovingEmitterCarriesItsVelocity) {
  EmitterView view = osmere_emitter();
  view.emitter.motion = Motion::moving;
  view.emitter.velocity = Velocity{13.25, 271.5, 0.4};
  EXPECT_EQ(
      emitter_json(view, kNames)["properties"]["velocity"],
      json::parse(R"({"speed_m_per_s": 13.25, "course_deg": 271.5, "speed_sigma_m_per_s": 0.4})"));
}

TEST(EmitterJson, AStationThatNobodyKnowsGoesByItsNumber) {
  EmitterView view = osmere_emitter();
  view.emitter.stations = {3, 9};
  EXPECT_EQ(emitter_json(view, kNames)["properties"]["stations"],
            json::parse(R"(["QUILL-POINT", "station 9"])"));
}

TEST(EmitterJson, TextThatIsNotUtf8IsReplacedAndStaysJson) {
  EmitterView view = osmere_emitter();
  view.name = "gate \xff";
  const auto text = json_text(emitter_json(view, kNames));
  EXPECT_EQ(json::parse(text)["properties"]["name"], "gate \xEF\xBF\xBD");
}

TEST(EmitterDetailJson, EachFixTellsItsBearingsAndWhichWereSetAside) {
  FixView view;
  view.fix.key = {{12, parse_rfc3339("2030-01-01T00:00:00.123456789Z").value()}, 0};
  view.fix.state = ResultState::final;
  view.fix.stations = 3;
  view.fix.solution = osmere_emitter().emitter.fix;
  view.fix.solution.chi_square = 1.2345;
  view.fix.solution.degrees_of_freedom = 1;
  view.bearings = {{{{1, 18'000'000'000'000'000'000U, 7}, -0.254, true}, 122.004, 1.0},
                   {{{4, 5, 9}, 61.0, false}, 10.0, 2.0}};
  const json detail = emitter_detail_json(osmere_emitter(), std::vector{view}, kNames);
  EXPECT_EQ(detail["emitter"]["id"], "12/1893456000000000123");
  const json& fix = detail["fixes"][0];
  EXPECT_EQ(fix["transmission_start"], "2030-01-01T00:00:00.123456789Z");
  EXPECT_EQ(fix["state"], "final");
  EXPECT_EQ(fix["chi_square"], 1.235);  // rounded to three decimals, half away from zero
  EXPECT_EQ(fix["bearings"], json::parse(R"([
    {"station": "LANTERN-HEAD", "stream": "18000000000000000000", "sequence": "7",
     "azimuth_deg": 122.0, "sigma_deg": 1.0, "residual_deg": -0.25, "used": true},
    {"station": "HARROW-HILL", "stream": "5", "sequence": "9",
     "azimuth_deg": 10.0, "sigma_deg": 2.0, "residual_deg": 61.0, "used": false}])"));
}

TEST(StationsJson, EachStationIsAPointWithItsHealth) {
  const json collection = stations_json(osmere_stations());
  EXPECT_EQ(collection["type"], "FeatureCollection");
  ASSERT_EQ(collection["features"].size(), 4U);
  EXPECT_EQ(collection["features"][0], json::parse(R"({
    "type": "Feature", "id": "LANTERN-HEAD",
    "geometry": {"type": "Point", "coordinates": [-150.45, 41.43]},
    "properties": {"name": "LANTERN-HEAD", "connected": true,
      "last_heartbeat": "2030-01-01T00:00:09.000Z", "clock_error_s": 0.002,
      "antenna_height_m": 18.0, "site_sigma_deg": 1.0, "bias_deg": 0.0,
      "bearings_admitted": 8812, "bearings_refused": 0, "agent_version": "0.1.0"}})"));
}

TEST(AlertJson, NamesItsEmitterAsTheEmittersThemselvesAreNamed) {
  const json alert = alert_json(osmere_alert("a1"), kNames);
  EXPECT_EQ(alert["emitter"], emitter_json(osmere_emitter(), kNames)["id"]);
  EXPECT_EQ(alert["severity"], "warning");
  EXPECT_TRUE(alert["acknowledged_at"].is_null());
  EXPECT_TRUE(alert["station"].is_null());
}

}  // namespace
}  // namespace fixwright::web
