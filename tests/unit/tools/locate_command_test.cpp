#include "server/tools/locate_command.hpp"

#include <fmt/core.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>
#include <string>
#include <vector>

#include "server/base/csv.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::tools {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;
namespace world = locate::world;

constexpr const char* kHeader =
    "time,station,latitude,longitude,frequency_hz,azimuth_deg,sigma_deg\n";

/// Rows of the four stations' exact bearings to an emitter, one second after another.
std::string rows_to(GeoPoint emitter, int minute, double frequency_hz) {
  const std::vector<std::string> names{"LANTERN-HEAD", "MOSS-RIDGE", "QUILL-POINT", "HARROW-HILL"};
  const auto places = world::four_stations();
  std::string rows;
  for (std::size_t i = 0; i < places.size(); ++i) {
    const auto b = world::exact(1, places[i], emitter, 1.0);
    rows +=
        fmt::format("2031-05-04T10:{:02}:0{}Z,{},{:.9f},{:.9f},{},{:.9f},1\n", minute, i, names[i],
                    places[i].latitude_deg, places[i].longitude_deg, frequency_hz, b.azimuth_deg);
  }
  return rows;
}

struct Outcome {
  int exit_code = -1;
  std::vector<std::vector<std::string>> rows;  // without the header
  std::string header;
  std::string text;
  std::string complaints;
};

Outcome locate_text(const std::string& text, LocateOptions options = {}) {
  std::istringstream in{text};
  std::ostringstream out;
  std::ostringstream err;
  Outcome outcome;
  outcome.exit_code = run_locate(in, "log.csv", options, out, err);
  outcome.text = out.str();
  outcome.complaints = err.str();
  std::istringstream lines{outcome.text};
  if (options.format == FixFormat::csv) {
    std::getline(lines, outcome.header);
    CsvReader reader{lines, "out"};
    while (auto row = reader.next()) {
      outcome.rows.push_back((*row)->fields);
    }
  }
  return outcome;
}

TEST(LocateCommand, WritesExactlyTheColumnsPromised) {
  EXPECT_EQ(locate_text(kHeader).header,
            "fix,emitter,time,frequency_hz,latitude,longitude,semi_major_m,semi_minor_m,"
            "orientation_deg,probability,stations,bearings_used,bearings_rejected,chi_square,grade,"
            "refusal");
}

TEST(LocateCommand, FourExactBearingsGiveTheEmittersPlace) {
  const auto out = locate_text(kHeader + rows_to(world::kOrigin, 15, 145.6e6));
  ASSERT_EQ(out.rows.size(), 1U) << out.complaints;
  const auto& row = out.rows[0];
  EXPECT_NEAR(*parse_number(row[4]), world::kOrigin.latitude_deg, 2e-8);  // 9 digits in and out
  EXPECT_NEAR(*parse_number(row[5]), world::kOrigin.longitude_deg, 2e-8);
  EXPECT_EQ(row[9], "0.95");
  EXPECT_EQ(row[10], "4");
  EXPECT_EQ(row[11], "4");
  EXPECT_EQ(row[12], "0");
  EXPECT_EQ(row[14], "checked");
  EXPECT_EQ(row[15], "");
  EXPECT_EQ(out.exit_code, 0);
}

TEST(LocateCommand, ARefusedFixIsARowWithoutPlaceAndWithItsReason) {
  const auto out = locate_text(std::string{kHeader} +
                               "2031-05-04T10:15:02Z,MOSS-RIDGE,41.33,-150.02,145600000,231,2\n");
  ASSERT_EQ(out.rows.size(), 1U);
  EXPECT_EQ(out.rows[0][1], "");
  EXPECT_EQ(out.rows[0][4], "");
  EXPECT_EQ(out.rows[0][5], "");
  EXPECT_EQ(out.rows[0][15], "one_station");
}

TEST(LocateCommand, TheSameTransmitterGetsOneNumberAndAnotherPlaceAnother) {
  const GeoPoint elsewhere{41.30, -150.20};
  const auto out =
      locate_text(kHeader + rows_to(world::kOrigin, 15, 145.6e6) + rows_to(elsewhere, 16, 145.6e6) +
                  rows_to(world::kOrigin, 17, 145.6e6) + rows_to(world::kOrigin, 18, 433.9e6));
  ASSERT_EQ(out.rows.size(), 4U);
  EXPECT_EQ(out.rows[0][1], out.rows[2][1]);
  EXPECT_NE(out.rows[0][1], out.rows[1][1]);
  EXPECT_NE(out.rows[0][1], out.rows[3][1]);  // same place, another frequency
}

TEST(LocateCommand, BadRowsAreSkippedAndSaid) {
  const std::string bad = "2031-05-04T10:15:02Z,MOSS-RIDGE,41.33,-150.02,145600000,361,2\n";
  const auto lenient = locate_text(kHeader + bad + rows_to(world::kOrigin, 15, 145.6e6));
  EXPECT_EQ(lenient.rows.size(), 1U);
  EXPECT_THAT(lenient.complaints, StartsWith("log.csv:2: azimuth_deg 361: "));
  EXPECT_THAT(lenient.complaints, HasSubstr("log.csv: 4 rows used, 1 skipped"));
  EXPECT_EQ(lenient.exit_code, 0);
  LocateOptions strict;
  strict.strict = true;
  EXPECT_EQ(locate_text(kHeader + bad + rows_to(world::kOrigin, 15, 145.6e6), strict).exit_code, 1);
  EXPECT_EQ(locate_text(kHeader + bad).exit_code, 1);  // nothing usable
}

TEST(LocateCommand, AFileThatIsNotThereEndsWithTwo) {
  LocateOptions options;
  options.input = "/nonexistent/log.csv";
  std::ostringstream out;
  std::ostringstream err;
  EXPECT_EQ(run_locate(options, out, err), 2);
  EXPECT_THAT(err.str(), HasSubstr("/nonexistent/log.csv: cannot be read"));
}

TEST(LocateCommand, GeoJsonHasAFeatureForPlaceAndRegion) {
  LocateOptions options;
  options.format = FixFormat::geojson;
  const auto out = locate_text(kHeader + rows_to(world::kOrigin, 15, 145.6e6), options);
  EXPECT_THAT(out.text, HasSubstr("\"FeatureCollection\""));
  EXPECT_THAT(out.text, HasSubstr("\"Point\",\"coordinates\":[-150.3,41.2]"));
  EXPECT_THAT(out.text, HasSubstr("\"Polygon\""));
}

}  // namespace
}  // namespace fixwright::tools
