// Bearings of a vehicle: placed, turned by the heading, or withheld.
#include "station_agent/app/placing.hpp"

#include <fmt/core.h>
#include <gmock/gmock.h>

#include <cmath>
#include <fstream>

#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

using testing::HasSubstr;

const TimePoint kStart = *parse_rfc3339("2031-05-04T10:00:00Z");

std::string rmc(int second, double knots) {
  const std::string body = fmt::format(
      "GPRMC,1000{:02d},A,4112.000,N,15018.000,W,{:.1f},090.0,040531,,,A", second, knots);
  unsigned sum = 0;
  for (const char c : body) sum ^= static_cast<unsigned char>(c);
  return fmt::format("${}*{:02X}\n", body, sum);
}

/// Drives east at 20 knots for ten seconds, then stands for ten.
class Drive : public testing::Test {
 protected:
  Drive() {
    const auto path = folder.path() / "drive.nmea";
    std::ofstream out(path);
    for (int i = 0; i < 20; ++i) out << rmc(i, i < 10 ? 20.0 : 0.0);
    out.close();
    navigation =
        std::move(Navigation::open({.feed = NavFeed::file, .device = path.string()}, clock))
            .value();
  }
  static SourceBearing bearing(double second, bool from_heading = true) {
    SourceBearing b;
    b.start = kStart + from_seconds(second);
    b.frequency_hz = 1e8;
    b.azimuth_deg = 300.0;
    b.sigma_deg = 4.0;
    b.alternatives = {{10.0, 0.5}};
    b.from_heading = from_heading;
    return b;
  }
  std::vector<SourceBearing> placed(std::vector<SourceBearing> bearings,
                                    Duration clock_error = {}) {
    placing.place(bearings, {ClockState::synchronised, clock_error});
    return bearings;
  }
  TempFolder folder;
  ManualClock clock{kStart};
  std::unique_ptr<Navigation> navigation;
  Placing placing{nullptr};
};

TEST_F(Drive, AFixedStationsBearingsStayAsTheyAre) {
  const auto out = placed({bearing(5, false)});
  ASSERT_EQ(out.size(), 1U);
  EXPECT_FALSE(out[0].position.has_value());
  EXPECT_EQ(out[0].azimuth_deg, 300.0);
}

TEST_F(Drive, AzimuthsTurnByTheHeadingAndItsErrorEntersTheSigma) {
  placing = Placing(navigation.get());
  const auto out = placed({bearing(5)});
  ASSERT_EQ(out.size(), 1U);
  EXPECT_NEAR(out[0].azimuth_deg, 30.0, 1e-9);
  EXPECT_NEAR(out[0].alternatives[0].azimuth_deg, 100.0, 1e-9);
  const double heading_deg = navigation->at(kStart + std::chrono::seconds{5}).heading->sigma_deg;
  EXPECT_NEAR(out[0].sigma_deg, std::hypot(4.0, heading_deg), 1e-12);
  EXPECT_NEAR(out[0].position->latitude_deg, 41.2, 1e-9);
  EXPECT_FALSE(out[0].from_heading) << "it is true now";
}

TEST_F(Drive, TrueAzimuthsGetAPlaceAndKeepTheirDirection) {
  placing = Placing(navigation.get());
  const auto out = placed({bearing(15, false)});
  ASSERT_EQ(out.size(), 1U) << "it stands still, but needs no heading of ours";
  EXPECT_EQ(out[0].azimuth_deg, 300.0);
  EXPECT_EQ(out[0].sigma_deg, 4.0);
  EXPECT_TRUE(out[0].position.has_value());
}

TEST_F(Drive, StandingStillWithoutACompassBearingsAreWithheldCountedAndSaidOnce) {
  placing = Placing(navigation.get());
  testing::internal::CaptureStderr();
  EXPECT_EQ(placed({bearing(8), bearing(12), bearing(13), bearing(14)}).size(), 1U);
  EXPECT_EQ(placed({bearing(15), bearing(8.2)}).size(), 1U);
  const std::string said = testing::internal::GetCapturedStderr();
  EXPECT_EQ(placing.withheld(), 4U);
  EXPECT_THAT(said, HasSubstr("stands still or its heading is unknown"));
  EXPECT_THAT(said, HasSubstr("4 bearings were withheld"));
  EXPECT_EQ(std::count(said.begin(), said.end(), '\n'), 2) << said;
}

TEST_F(Drive, WithoutAPositionForItsTimeABearingIsWithheld) {
  placing = Placing(navigation.get());
  testing::internal::CaptureStderr();
  EXPECT_TRUE(placed({bearing(3600, false)}).empty());
  EXPECT_THAT(testing::internal::GetCapturedStderr(), HasSubstr("no position for the time"));
  EXPECT_EQ(placing.withheld(), 1U);
}

TEST_F(Drive, TheClocksErrorAndTheIntegrationMakeThePlaceLessSure) {
  placing = Placing(navigation.get());
  const double speed = 20.0 * 1852.0 / 3600.0;
  const double exact = placed({bearing(5)})[0].position->sigma_m;
  // A bound of one second, taken as uniform: speed / sqrt(3).
  EXPECT_NEAR(placed({bearing(5)}, std::chrono::seconds{1})[0].position->sigma_m,
              std::hypot(exact, speed / std::sqrt(3.0)), 1e-9);
  SourceBearing wide = bearing(4);
  wide.integration = std::chrono::seconds{2};  // its middle is at 5 s; a second either way
  EXPECT_NEAR(placed({wide})[0].position->sigma_m, std::hypot(exact, speed / std::sqrt(3.0)), 1e-9);
}

}  // namespace
}  // namespace fixwright::agent
