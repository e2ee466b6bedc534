#include "server/tools/accuracy_command.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

namespace fixwright::tools {
namespace {

using ::testing::HasSubstr;

class AccuracyCommand : public ::testing::Test {
 protected:
  AccuracyCommand() {
    options.config = ::testing::TempDir() + "accuracy_" +
                     ::testing::UnitTest::GetInstance()->current_test_info()->name() + ".toml";
    std::ofstream(options.config)
        << "[database]\nconnection = \"dbname=fixwright\"\n"
           "[[station]]\nname = \"NORTH\"\nlatitude_deg = 41.40\nlongitude_deg = -150.30\n"
           "[[station]]\nname = \"WEST\"\nlatitude_deg = 41.20\nlongitude_deg = -150.60\n";
    options.box = "-150.5,41.0,-150.1,41.3";
  }
  ~AccuracyCommand() override { std::remove(options.config.c_str()); }

  std::string told() {
    std::ostringstream out;
    err.str("");
    status = run_accuracy(options, out, err);
    return out.str();
  }

  AccuracyOptions options;
  std::ostringstream err;
  int status = -1;
};

TEST_F(AccuracyCommand, SaysHowMuchIsCoveredAndHowWell) {
  const std::string text = told();
  EXPECT_EQ(status, 0) << err.str();
  EXPECT_THAT(text, HasSubstr("semi-major axis at 95 %: "));
  EXPECT_THAT(text, HasSubstr("covered by two stations or more: 100 % of the area"));
  options.without = {"WEST"};
  EXPECT_EQ(told(), "nowhere in this area would two stations hear a transmitter\n");
}

TEST_F(AccuracyCommand, AStationMoreIsNeverWorse) {
  options.format = AccuracyFormat::geojson;
  const auto axes = [&] {
    std::vector<double> all;
    const auto read = nlohmann::json::parse(told());
    for (const auto& f : read["features"]) {
      all.push_back(f["properties"]["semi_major_m"].get<double>());
    }
    return all;
  };
  const auto before = axes();
  options.with = {"41.05,-150.15"};
  const auto after = axes();
  ASSERT_EQ(before.size(), after.size());
  ASSERT_GT(before.size(), 100U);
  for (std::size_t i = 0; i < before.size(); ++i) EXPECT_LE(after[i], before[i]);
}

TEST_F(AccuracyCommand, WhatItSuggestsIsInTheArea) {
  options.suggest = true;
  options.step_km = 5.0;
  EXPECT_THAT(told(), HasSubstr("one more would help most near 41."));
}

TEST_F(AccuracyCommand, WhatIsWrongIsOneLine) {
  options.box = "1,2,3";
  told();
  EXPECT_EQ(status, 2);
  EXPECT_THAT(err.str(), HasSubstr("accuracy: --box = \"1,2,3\": must be WEST"));
  options.box = "10,0,-10,1";
  told();
  EXPECT_THAT(err.str(), HasSubstr("east must be more than west"));
  options.box = "-150.5,41.0,-150.1,41.3";
  options.without = {"EAST"};
  told();
  EXPECT_EQ(err.str(), "accuracy: --without EAST: the configuration has no such station\n");
  options.without.clear();
  options.with = {"here"};
  told();
  EXPECT_EQ(err.str(), "accuracy: --with = \"here\": must be LATITUDE,LONGITUDE in degrees\n");
  options.with.clear();
  options.step_km = 0.05;
  options.box = "-170,-60,170,60";
  told();
  EXPECT_EQ(err.str(), "accuracy: more than 250000 cells: give a longer --step\n");
}

}  // namespace
}  // namespace fixwright::tools
