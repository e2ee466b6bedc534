/// A GIS client opens the views by name: GDAL's ogrinfo and ogr2ogr as fixwright_reader, over the
/// socket of the tests' cluster. What they say is compared with what the views' comments promise.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <nlohmann/json.hpp>

#include "tests/db/command.hpp"
#include "tests/db/questions.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::HasSubstr;

/// Views with a geometry, as GDAL names its type and its column.
const std::map<std::string, std::pair<std::string, std::string>> kLayers{
    {"alert_history", {"Point", "position"}},
    {"alert_open", {"Point", "position"}},
    {"alert_region", {"Multi Polygon", "region"}},
    {"bearing_line", {"Multi Line String", "line"}},
    {"bearing_only_list", {"Multi Line String", "line"}},
    {"case_emitter_list", {"Point", "position"}},
    {"case_list", {"Point", "place"}},
    {"emitter_before_list", {"Point", "position"}},
    {"emitter_latest", {"Point", "position"}},
    {"emitter_region", {"Multi Polygon", "region"}},
    {"emitter_track", {"Point", "position"}},
    {"fix_before_list", {"Point", "position"}},
    {"fix_latest", {"Point", "position"}},
    {"fix_region", {"Multi Polygon", "region"}},
    {"licence_list", {"Point", "position"}},
    {"station_status", {"Point", "position"}},
    {"watched_area_list", {"Multi Polygon", "area"}}};

class GisClientsTest : public testing::Test {
 protected:
  GisClientsTest() { rows(database.owner(), text_of("tests/db/questions_seed.sql")); }

  [[nodiscard]] std::string source() const { return "PG:" + database.reader(); }

  [[nodiscard]] std::string count(const std::string& view) const {
    return value(database.reader(), "SELECT count(*) FROM " + view);
  }

  const ScratchDatabase database;
};

TEST_F(GisClientsTest, EveryViewWithAGeometryIsListedWithItsType) {
  const Finished listed = run_command({"/usr/bin/ogrinfo", "-ro", source()});
  EXPECT_EQ(listed.status, 0) << listed.output;
  for (const auto& [view, layer] : kLayers) {
    EXPECT_THAT(listed.output, HasSubstr(": " + view + " (" + layer.first + ")\n"));
  }
}

TEST_F(GisClientsTest, LayersAreInWgs84AndAsManyAsTheRowsOfTheirViews) {
  for (const auto& [view, layer] : kLayers) {
    const Finished told = run_command({"/usr/bin/ogrinfo", "-ro", "-so", source(), view});
    EXPECT_EQ(told.status, 0) << told.output;
    EXPECT_THAT(told.output, HasSubstr("Geometry: " + layer.first + "\n")) << view;
    EXPECT_THAT(told.output, HasSubstr("Geometry Column = " + layer.second + "\n")) << view;
    EXPECT_THAT(told.output, HasSubstr("ID[\"EPSG\",4326]]")) << view;
    EXPECT_THAT(told.output, HasSubstr("Feature Count: " + count(view) + "\n"));
    EXPECT_NE(count(view), "0") << view;
  }
}

TEST_F(GisClientsTest, ViewTravelsToAnotherFormatWhole) {
  const std::string file = testing::TempDir() + "emitters.geojson";
  std::remove(file.c_str());
  const Finished moved = run_command({"/usr/bin/ogr2ogr", "-f", "GeoJSON", file, source(),
                                      "emitter_latest", "-where", "emitter_id = 1"});
  EXPECT_EQ(moved.status, 0) << moved.output;
  const auto read = nlohmann::json::parse(std::ifstream(file));
  ASSERT_EQ(read["features"].size(), 1U);
  const auto& emitter = read["features"][0];
  EXPECT_EQ(emitter["properties"]["name"], "harbour mast");
  // GeoJSON: longitude first (RFC 7946, section 3.1.1), whatever EPSG says of the order of axes.
  EXPECT_NEAR(emitter["geometry"]["coordinates"][0].get<double>(), -150.3, 1e-9);
  EXPECT_NEAR(emitter["geometry"]["coordinates"][1].get<double>(), 41.2, 1e-9);
}

TEST_F(GisClientsTest, QuestionWithANameIsReadAsALayer) {
  const Finished told =
      run_command({"/usr/bin/ogrinfo", "-ro", "-q", source(), "-sql",
                   "SELECT emitter_id, within, position FROM emitters_near(41.2, -150.31, 1000)"});
  EXPECT_EQ(told.status, 0) << told.output;
  EXPECT_THAT(told.output, HasSubstr("emitter_id (Integer64) = 1\n"));
  EXPECT_THAT(told.output, HasSubstr("POINT (-150.3 41.2)"));
}

TEST_F(GisClientsTest, ReaderChangesNothingThroughAGisClient) {
  const std::string before = count("emitter_latest");
  const Finished refused = run_command(
      {"/usr/bin/ogrinfo", source(), "-sql", "DELETE FROM emitter WHERE emitter_id = 1"});
  EXPECT_THAT(refused.output, HasSubstr("ERROR"));
  EXPECT_EQ(count("emitter_latest"), before);
}

}  // namespace
}  // namespace fixwright::test
