/// `fixwright export`, read back by GDAL: the right places in the right order, all of them.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "server/store/layers.hpp"
#include "server/tools/export_command.hpp"
#include "tests/db/command.hpp"
#include "tests/db/questions.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using tools::ExportFormat;

class ExportTest : public testing::Test {
 protected:
  ExportTest() { rows(database.owner(), text_of("tests/db/questions_seed.sql")); }

  tools::ExportOptions of(const std::string& layer, ExportFormat format) const {
    tools::ExportOptions options;
    options.layer = layer;
    options.format = format;
    options.database = database.reader();
    return options;
  }

  std::string text(const tools::ExportOptions& options) {
    std::ostringstream out;
    err.str("");
    status = tools::run_export(options, out, err);
    return out.str();
  }

  /// The file's name ends as GDAL expects of the format.
  std::string file(tools::ExportOptions options, const std::string& ending) {
    const auto* const test = testing::UnitTest::GetInstance()->current_test_info();
    options.output = testing::TempDir() + test->name() + "_" + options.layer + ending;
    std::remove(options.output.c_str());
    EXPECT_EQ(text(options), "");
    EXPECT_EQ(status, 0) << err.str();
    return options.output;
  }

  static std::string gdal(const std::vector<std::string>& arguments) {
    std::vector<std::string> command{"/usr/bin/ogrinfo", "-ro"};
    if (arguments.size() != 2) command.emplace_back("-al");  // no layer is named
    command.insert(command.end(), arguments.begin(), arguments.end());
    const Finished read = run_command(command);
    EXPECT_EQ(read.status, 0) << read.output;
    EXPECT_THAT(read.output, Not(HasSubstr("ERROR"))) << read.output;
    EXPECT_THAT(read.output, Not(HasSubstr("Warning"))) << read.output;
    return read.output;
  }

  static int count_of(const std::string& text, const std::string& part) {
    int n = 0;
    for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
    return n;
  }

  std::string count(const std::string& of) {
    return value(database.owner(), "SELECT count(*) FROM " + of);
  }

  const ScratchDatabase database;
  std::ostringstream err;
  int status = -1;
};

const std::set<std::string> kPoints{"alerts", "emitters", "fixes", "licences", "stations"};
constexpr auto kShown = "emitter_latest WHERE state <> 'retired'";

TEST_F(ExportTest, EveryFormatOfEveryLayerIsOpenedByGdalWithAsManyFeatures) {
  const std::vector<std::pair<ExportFormat, std::string>> formats{
      {ExportFormat::geojson, ".geojson"},
      {ExportFormat::geojsonseq, ".geojsonl"},
      {ExportFormat::gpx, ".gpx"},
      {ExportFormat::kml, ".kml"},
      {ExportFormat::csv, ".csv"}};
  for (const Layer& layer : store::layers()) {
    store::Database pool{{database.reader(), 1, std::chrono::seconds(5), "fixwright"}};
    const auto wanted = store::read_features(pool, layer.name, {}, 30).matched;
    ASSERT_GT(wanted, 0U) << layer.name;
    for (const auto& [format, ending] : formats) {
      std::vector<std::string> asked{file(of(layer.name, format), ending)};
      if (format == ExportFormat::gpx)
        asked.push_back(kPoints.contains(layer.name) ? "waypoints" : "tracks");
      const std::string read = gdal(asked);
      EXPECT_EQ(count_of(read, "OGRFeature("), static_cast<int>(wanted)) << layer.name << ending;
    }
  }
}

TEST_F(ExportTest, PlacesAreWhereTheDatabaseHasThem) {
  // Of (12, 1): 41.2 north, 150.3 west. GDAL writes x before y whatever the format.
  for (const auto& [format, ending] :
       {std::pair{ExportFormat::geojson, ".geojson"},
        std::pair{ExportFormat::geojsonseq, ".geojsonl"}, std::pair{ExportFormat::gpx, ".gpx"},
        std::pair{ExportFormat::kml, ".kml"}}) {
    EXPECT_THAT(gdal({file(of("emitters", format), ending)}), HasSubstr("POINT (-150.3 41.2)"))
        << ending;
  }
  const std::string csv = file(of("emitters", ExportFormat::csv), ".csv");
  EXPECT_THAT(gdal({csv, "-oo", "X_POSSIBLE_NAMES=longitude", "-oo", "Y_POSSIBLE_NAMES=latitude"}),
              HasSubstr("POINT (-150.3 41.2)"));
}

TEST_F(ExportTest, ARegionIsTheOutlineThatTheViewHas) {
  const std::string area =
      "SELECT round(ST_Area(region::geography)) FROM emitter_region WHERE emitter_id = 1";
  const auto read = nlohmann::json::parse(text(of("regions", ExportFormat::geojson)));
  for (const auto& feature : read["features"]) {
    if (feature["id"] != "12/1") continue;
    const std::string again =
        value(database.owner(), "SELECT round(ST_Area(ST_GeomFromGeoJSON('" +
                                    feature["geometry"].dump() + "')::geography))");
    // Seven digits are 1 cm: of an outline of some 3 km, 30 m^2.
    EXPECT_NEAR(std::stod(again), std::stod(value(database.owner(), area)), 30.0);
    return;
  }
  FAIL() << "12/1 is missing";
}

TEST_F(ExportTest, ATrackOfGpxHasItsTimes) {
  const std::string points =
      value(database.owner(),
            "SELECT count(*) FROM track_point WHERE (channel_id, emitter_id) IN "
            "(SELECT channel_id, emitter_id FROM track_point GROUP BY 1, 2 "
            "HAVING count(*) > 1)");
  const std::string read =
      run_command({"/usr/bin/ogrinfo", "-ro", "-q", file(of("tracks", ExportFormat::gpx), ".gpx"),
                   "track_points"})
          .output;
  EXPECT_EQ(std::to_string(count_of(read, "OGRFeature(")), points);
  EXPECT_EQ(std::to_string(count_of(read, "time (DateTime) = 2031/")), points);
}

TEST_F(ExportTest, KmlAndGpxAreWellFormedAndGeojsonSequenceIsSeparated) {
  for (const auto& [format, ending] :
       {std::pair{ExportFormat::gpx, ".gpx"}, std::pair{ExportFormat::kml, ".kml"}}) {
    const Finished checked =
        run_command({"/usr/bin/xmllint", "--noout", file(of("emitters", format), ending)});
    EXPECT_EQ(checked.status, 0) << checked.output;
  }
  // RFC 8142: a record separator before each text, a line feed after.
  const std::string sequence = text(of("emitters", ExportFormat::geojsonseq));
  EXPECT_EQ(std::to_string(count_of(sequence, "\x1e{")), count(kShown));
  EXPECT_EQ(std::to_string(count_of(sequence, "}\n")), count(kShown));
}

TEST_F(ExportTest, TextOfAnyKindIsWrittenAsItIs) {
  rows(database.owner(),
       "UPDATE emitter_name SET name = 'a <b> & \"c\", ' || chr(7) || 'é' WHERE emitter_id = 1");
  EXPECT_THAT(gdal({file(of("emitters", ExportFormat::kml), ".kml")}),
              HasSubstr("Name (String) = a <b> & \"c\", é"));
  EXPECT_THAT(gdal({file(of("emitters", ExportFormat::csv), ".csv")}),
              HasSubstr("title (String) = a <b> & \"c\", "));
}

TEST_F(ExportTest, ABoxAndAStretchOfTimeChoose) {
  auto options = of("emitters", ExportFormat::csv);
  const std::string all = text(options);
  options.box = "-150.31,41.19,-150.29,41.21";
  const std::string boxed = text(options);
  EXPECT_EQ(count_of(boxed, "\n"), 2) << boxed;
  EXPECT_THAT(boxed, HasSubstr("\n12/1,harbour mast,"));
  options.box = "170,-60,-170,60";  // over the antimeridian: nobody there
  EXPECT_THAT(text(options), IsEmpty());
  options.box = "170,-60,-150.29,60";
  EXPECT_THAT(text(options), HasSubstr("\n12/1,harbour mast,"));
  options.box.clear();
  options.until = "2031-05-01T12:00:00Z";
  EXPECT_LT(count_of(text(options), "\n"), count_of(all, "\n"));
}

TEST_F(ExportTest, WhatTheLimitLeavesOutIsTold) {
  auto options = of("stations", ExportFormat::csv);
  options.limit = 3;
  EXPECT_EQ(count_of(text(options), "\n"), 4);
  EXPECT_EQ(err.str(), "export: 3 of 4 features; --limit, --since or --box say which\n");
}

TEST_F(ExportTest, WhatIsWrongIsOneLine) {
  auto options = of("emitters", ExportFormat::csv);
  options.box = "1,2,3";
  EXPECT_EQ(text(options), "");
  EXPECT_EQ(status, 2);
  EXPECT_EQ(err.str(),
            "--box = \"1,2,3\": must be WEST,SOUTH,EAST,NORTH: four numbers of degrees\n");
  options.box.clear();
  options.since = "yesterday";
  text(options);
  EXPECT_EQ(status, 2);
  EXPECT_THAT(err.str(), HasSubstr("--since = \"yesterday\""));
  options.since.clear();
  options.output = "/nowhere/at/all.csv";
  text(options);
  EXPECT_EQ(status, 1);
  EXPECT_EQ(err.str(), "export: /nowhere/at/all.csv: can't be written; give another --output\n");
}

}  // namespace
}  // namespace fixwright::test
