#include "server/tools/explain_command.hpp"

#include <fmt/core.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>

#include "tests/unit/locate/world.hpp"

namespace fixwright::tools {
namespace {

using ::testing::ContainsRegex;
using ::testing::HasSubstr;
using ::testing::Not;
namespace world = locate::world;

/// Exact bearings of the four stations; QUILL-POINT's is turned.
std::string log_with_turn(double turn_deg) {
  const std::vector<std::string> names{"LANTERN-HEAD", "MOSS-RIDGE", "QUILL-POINT", "HARROW-HILL"};
  const auto places = world::four_stations();
  std::string text = "time,station,latitude,longitude,frequency_hz,azimuth_deg,sigma_deg\n";
  for (std::size_t i = 0; i < places.size(); ++i) {
    const auto b = world::exact(1, places[i], {41.15, -150.30}, 1.0);
    const double azimuth_deg = wrap_360(b.azimuth_deg + (i == 2 ? turn_deg : 0.0));
    text += fmt::format("2031-05-04T10:15:0{}Z,{},{},{},145600000,{:.6f},1\n", i, names[i],
                        places[i].latitude_deg, places[i].longitude_deg, azimuth_deg);
  }
  return text;
}

struct Outcome {
  int exit_code = -1;
  std::string out;
  std::string err;
};

Outcome explain(const std::string& text, const ExplainOptions& options = {}) {
  std::istringstream in{text};
  std::ostringstream out;
  std::ostringstream err;
  const int exit_code = run_explain(in, "log.csv", options, out, err);
  return {exit_code, out.str(), err.str()};
}

TEST(ExplainCommand, NamesTheBearingThatWasSetAsideWithItsResidual) {
  const auto o = explain(log_with_turn(60.0));
  EXPECT_EQ(o.exit_code, 0);
  EXPECT_THAT(o.out, HasSubstr("accepted, checked"));
  EXPECT_THAT(o.out, ContainsRegex("QUILL-POINT .* 60\\.000 +60\\.00 +0\\.000  set aside"));
  EXPECT_THAT(o.out, ContainsRegex("MOSS-RIDGE .* 1\\.000  used"));
  EXPECT_THAT(o.out, HasSubstr("never proof"));
}

TEST(ExplainCommand, SaysWhyAFixWasRefused) {
  const std::string all = log_with_turn(0.0);
  const std::string one_row = all.substr(0, all.find("Z,MOSS-RIDGE") - 19);
  const auto o = explain(one_row);
  EXPECT_THAT(o.out, HasSubstr("refused, one_station: bearings of fewer than two places"));
  EXPECT_THAT(o.out, Not(HasSubstr("place  ")));
}

TEST(ExplainCommand, AFixThatIsNotThereIsSaid) {
  ExplainOptions options;
  options.fix = "1/2031-05-04T00:00:00.000000000Z/0";
  const auto o = explain(log_with_turn(0.0), options);
  EXPECT_EQ(o.exit_code, 2);
  EXPECT_THAT(o.err, HasSubstr("no fix 1/2031-05-04T00:00:00.000000000Z/0"));
}

TEST(ExplainCommand, DrawsStationsLinesAndRegion) {
  ExplainOptions options;
  options.svg = ::testing::TempDir() + "fixwright_explain_test.svg";
  EXPECT_EQ(explain(log_with_turn(60.0), options).exit_code, 0);
  std::ifstream file(options.svg);
  const std::string svg{std::istreambuf_iterator<char>(file), {}};
  std::filesystem::remove(options.svg);
  EXPECT_THAT(svg, HasSubstr("<polygon"));
  // Names stay on the sheet: in its right half they end at their station.
  EXPECT_THAT(svg, HasSubstr("text-anchor=\"end\">QUILL-POINT</text>"));
  EXPECT_THAT(svg, HasSubstr("text-anchor=\"start\">HARROW-HILL</text>"));
  EXPECT_THAT(svg, HasSubstr("stroke-dasharray"));  // the one set aside
  EXPECT_THAT(svg, HasSubstr("</svg>"));
}

TEST(ExplainCommand, ADrawingThatCantBeWrittenIsSaid) {
  ExplainOptions options;
  options.svg = "/nonexistent/fix.svg";
  const auto o = explain(log_with_turn(0.0), options);
  EXPECT_EQ(o.exit_code, 2);
  EXPECT_THAT(o.err, HasSubstr("/nonexistent/fix.svg: can't be written"));
}

}  // namespace
}  // namespace fixwright::tools
