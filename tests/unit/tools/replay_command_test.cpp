#include "server/tools/replay_command.hpp"

#include <fmt/core.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "server/base/csv.hpp"
#include "server/geodesy/geodesic.hpp"
#include "tests/support/scenario/map.hpp"
#include "tests/support/scenario/simulator.hpp"

namespace fixwright::tools {
namespace {

using ::testing::HasSubstr;

constexpr const char* kHeader =
    "time,station,latitude,longitude,frequency_hz,azimuth_deg,sigma_deg\n";

constexpr auto kIsland = R"(
  A . . . . . B
  . . 1 . . . .
  . . . . . . .
  . . . . 2 . .
  D . . . . . C
)";

std::vector<Bearing> two_emitters(const scenario::Map& map) {
  return scenario::simulate(
      map.stations,
      {{.position = map.emitters.at('1'), .channel = 1, .on = {{0.0, 40.0}}},
       {.position = map.emitters.at('2'), .channel = 2, .on = {{10.0, 60.0}}}},
      {.seed = 4});
}

std::string as_csv(const std::vector<Bearing>& bearings) {
  std::string text = kHeader;
  for (const Bearing& b : bearings) {
    text +=
        fmt::format("{},STATION-{},{:.9f},{:.9f},{},{:.9f},{}\n", format_rfc3339(b.start, 9),
                    b.key.station, b.station_position.latitude_deg,
                    b.station_position.longitude_deg, b.frequency_hz, b.azimuth_deg, b.sigma_deg);
  }
  return text;
}

struct Outcome {
  int exit_code = -1;
  std::string header;
  std::vector<std::vector<std::string>> rows;
  std::string complaints;
};

Outcome replay_text(const std::string& text, const ReplayOptions& options = {}) {
  std::istringstream in{text};
  std::stringstream out;
  std::ostringstream err;
  Outcome outcome;
  outcome.exit_code = run_replay(in, "log.csv", options, out, err);
  outcome.complaints = err.str();
  std::getline(out, outcome.header);
  CsvReader reader{out, "out"};
  while (auto row = reader.next()) outcome.rows.push_back((*row)->fields);
  return outcome;
}

TEST(ReplayCommand, WritesExactlyTheColumnsPromised) {
  EXPECT_EQ(replay_text(kHeader).header,
            "emitter,time,latitude,longitude,semi_major_m,semi_minor_m,orientation_deg,"
            "frequency_hz,state");
}

TEST(ReplayCommand, FollowsEachEmitterToItsLastState) {
  const auto map = scenario::draw(kIsland, 6.0);
  const auto out = replay_text(as_csv(two_emitters(map)));
  EXPECT_EQ(out.exit_code, 0) << out.complaints;
  std::map<std::string, std::vector<std::string>> last;
  for (const auto& row : out.rows) last[row.at(0)] = row;
  ASSERT_EQ(last.size(), 2U);
  for (const auto& [emitter, row] : last) {
    EXPECT_EQ(row.at(8), "confirmed");
    const GeoPoint place{*parse_number(row.at(2)), *parse_number(row.at(3))};
    const char name = *parse_number(row.at(7)) < 146.02e6 ? '1' : '2';
    // Unconfigured stations: 1 degree of site error is allowed for, which the simulator spares.
    EXPECT_LT(geodesy::distance_m(place, map.emitters.at(name)), 300.0);
  }
}

TEST(ReplayCommand, RowsOfAnEmitterAreSpacedUnlessItsStateChanges) {
  const auto map = scenario::draw(kIsland, 6.0);
  ReplayOptions rare;
  rare.every_s = 1e6;
  // First seen, confirmed, and the last word: three rows an emitter.
  EXPECT_EQ(replay_text(as_csv(two_emitters(map)), rare).rows.size(), 6U);
  EXPECT_GT(replay_text(as_csv(two_emitters(map))).rows.size(), 8U);
}

TEST(ReplayCommand, BearingsFarOutOfOrderAreLeftOutAndSaidSoUnlessSorted) {
  const auto map = scenario::draw(kIsland, 6.0);
  auto bearings = two_emitters(map);
  for (Bearing& b : bearings) {  // an hour apart, and one station after another in the file
    if (b.start > scenario::scenario_start() + std::chrono::seconds{30}) {
      b.start += std::chrono::hours{1};
    }
  }
  std::stable_sort(bearings.begin(), bearings.end(), [](const Bearing& a, const Bearing& b) {
    return a.key.station < b.key.station;
  });
  ReplayOptions options;
  options.strict = true;
  const auto as_is = replay_text(as_csv(bearings), options);
  EXPECT_THAT(as_is.complaints, HasSubstr("--by-time replays them in order of time"));
  EXPECT_EQ(as_is.exit_code, 1);
  options.by_time = true;
  const auto sorted = replay_text(as_csv(bearings), options);
  EXPECT_EQ(sorted.complaints, "");
  EXPECT_EQ(sorted.exit_code, 0);
}

TEST(ReplayCommand, AFileThatIsNotThereEndsWithTwo) {
  ReplayOptions options;
  options.input = "/nonexistent/log.csv";
  std::ostringstream out;
  std::ostringstream err;
  EXPECT_EQ(run_replay(options, out, err), 2);
  EXPECT_THAT(err.str(), HasSubstr("/nonexistent/log.csv: cannot be read"));
}

}  // namespace
}  // namespace fixwright::tools
