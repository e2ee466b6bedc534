// The subcommand from the configuration to the file that the agent then uses.
#include <gmock/gmock.h>

#include <fstream>
#include <sstream>

#include "station_agent/app/agent_config.hpp"
#include "station_agent/app/calibrate_command.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

using testing::AllOf;
using testing::HasSubstr;

constexpr const char* kScene = R"(
start = "2031-05-04T10:00:00Z"
[[station]]
name = "LANTERN-HEAD"
latitude_deg = 41.430
longitude_deg = -150.450
rate_hz = 200_000.0
centre_hz = 156_800_000.0
noise_dbfs = -60.0
bits = 12
[station.array]
elements = 5
radius_m = 0.67
[[station.array.response]]
gain_db = 0.4
phase_deg = -2.0
[[station.array.response]]
gain_db = 1.1
phase_deg = 12.0
[[station.array.response]]
gain_db = -1.4
phase_deg = -14.0
[[emitter]]
name = "OSM-12"
frequency_hz = 156_810_000.0
level_dbfs = -30.0
common_reference = true
)";

/// Goes on by 2 ms whenever it is asked, so that a scene plays without waiting.
class AskedClock final : public Clock {
 public:
  [[nodiscard]] TimePoint now() const override { return now_ += std::chrono::milliseconds{2}; }

 private:
  mutable TimePoint now_ = parse_rfc3339("2031-05-04T12:00:00Z").value();
};

class CalibrateCommandTest : public testing::Test {
 protected:
  CalibrateCommandTest() {
    std::ofstream(file("scene.toml")) << kScene;
    command.config_path = config();
    command.out_path = file("calibration.toml");
    command.common_hz = {156.81e6};
    command.lasts_s = 0.6;
  }
  [[nodiscard]] std::string file(const std::string& name) const {
    return (folder.path() / name).string();
  }
  [[nodiscard]] std::string config(const std::string& array = "") const {
    std::ofstream(file("station.toml"))
        << "[server]\naddress = \"127.0.0.1:1\"\n[station]\nname = \"LANTERN-HEAD\"\n[spool]\n"
           "path = \""
        << file("s.spool") << "\"\n[source]\nkind = \"iq\"\n[source.iq]\ninput = \"scene\"\n"
        << "[source.iq.scene]\nfile = \"" << file("scene.toml") << "\"\ncalibrated = false\n"
        << "[source.iq.array]\nshape = \"circle\"\nelements = 5\nradius_m = 0.67\n"
        << array;
    return file("station.toml");
  }
  int run() {
    out.str("");
    err.str("");
    return run_calibrate(command, clock, out, err);
  }

  TempFolder folder;
  const AskedClock clock;
  const TimePoint began = parse_rfc3339("2031-05-04T12:00:00Z").value();
  CalibrateCommand command;
  std::ostringstream out;
  std::ostringstream err;
};

TEST_F(CalibrateCommandTest, TheFileIsThenTheArraysCalibration) {
  command.temperature_c = 21.5;
  ASSERT_EQ(run(), 0) << err.str();
  EXPECT_THAT(out.str(), AllOf(HasSubstr("5 elements, common_reference"), HasSubstr("Written:")));
  const auto loaded =
      load_agent_config(config("calibration_file = \"" + command.out_path + "\"\n"));
  ASSERT_TRUE(loaded.problems.empty()) << testing::PrintToString(loaded.problems);
  const array::ArrayCalibration& c = loaded.config.iq.chain.calibration;
  ASSERT_EQ(c.elements.size(), 5U);
  EXPECT_NEAR(c.elements[1].phase_deg - c.elements[0].phase_deg, 14.0, 0.2);
  EXPECT_NEAR(c.elements[2].gain_db - c.elements[0].gain_db, -1.8, 0.05);
  EXPECT_GT(c.date, began);
  EXPECT_LT(c.date, began + std::chrono::seconds{1});  // when it began to measure
  EXPECT_EQ(c.temperature_c, 21.5);
  EXPECT_EQ(c.method, array::CalibrationMethod::common_reference);
  EXPECT_THAT(c.reference, HasSubstr("156.810000 MHz"));
  // Measured again it is compared with itself, and needs --force or another name.
  EXPECT_EQ(run(), 2);
  EXPECT_THAT(err.str(), HasSubstr("--force"));
  command.force = true;
  EXPECT_EQ(run(), 0) << err.str();
  EXPECT_THAT(out.str(), HasSubstr("it still held"));
}

TEST_F(CalibrateCommandTest, WhatIsNotMeasuredIsOneAndWritesNothing) {
  command.common_hz = {156.75e6};
  EXPECT_EQ(run(), 1);
  EXPECT_THAT(err.str(), AllOf(HasSubstr("no signal"), HasSubstr("Nothing was written.")));
  EXPECT_FALSE(std::filesystem::exists(command.out_path));
}

TEST_F(CalibrateCommandTest, WhatCannotBeAskedIsTwo) {
  command.transmitters = {"41.4,-150.3,156810000"};
  EXPECT_EQ(run(), 2);
  EXPECT_THAT(err.str(), HasSubstr("not both"));
  command.common_hz.clear();
  command.transmitters = {"41.4,west,156810000"};
  EXPECT_EQ(run(), 2);
  EXPECT_THAT(err.str(), HasSubstr("LAT,LON,FREQ_HZ"));
  command.common_hz = {433e6};
  command.transmitters.clear();
  EXPECT_EQ(run(), 2);
  EXPECT_THAT(err.str(), HasSubstr("outside the sampled band"));
  command.config_path = file("none.toml");
  EXPECT_EQ(run(), 2);
  EXPECT_THAT(err.str(), HasSubstr("none.toml"));
}

}  // namespace
}  // namespace fixwright::agent
