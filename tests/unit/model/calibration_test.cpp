#include "server/model/calibration.hpp"

#include <gtest/gtest.h>

#include "server/model/station.hpp"

namespace fixwright {
namespace {

const TimePoint kNoon{std::chrono::hours{500'000}};

Bearing bearing(double azimuth_deg, double frequency_hz = 146e6, TimePoint at = kNoon) {
  Bearing b;
  b.azimuth_deg = azimuth_deg;
  b.frequency_hz = frequency_hz;
  b.start = at;
  return b;
}

TEST(Calibration, CoversFromItsDateOnInItsBand) {
  Calibration c;
  c.valid_from = kNoon;
  c.low_hz = 144e6;
  c.high_hz = 148e6;
  EXPECT_TRUE(c.covers(bearing(10.0)));
  EXPECT_FALSE(c.covers(bearing(10.0, 146e6, kNoon - Duration{1})));
  EXPECT_TRUE(c.covers(bearing(10.0, 144e6)));
  EXPECT_FALSE(c.covers(bearing(10.0, 148e6)));
}

TEST(Calibration, ASectorMayGoThroughNorth) {
  Calibration c;
  c.valid_from = kNoon;
  c.from_azimuth_deg = 350.0;
  c.to_azimuth_deg = 20.0;
  EXPECT_TRUE(c.covers(bearing(355.0)));
  EXPECT_TRUE(c.covers(bearing(0.0)));
  EXPECT_TRUE(c.covers(bearing(350.0)));
  EXPECT_FALSE(c.covers(bearing(20.0)));
  EXPECT_FALSE(c.covers(bearing(180.0)));
}

TEST(Calibration, TheLastAcceptedThatCoversABearingCounts) {
  Station station;
  station.bias_deg = 0.5;
  Calibration wide;
  wide.valid_from = kNoon;
  wide.bias_deg = 2.0;
  Calibration sector = wide;
  sector.from_azimuth_deg = 90.0;
  sector.to_azimuth_deg = 180.0;
  sector.bias_deg = -3.0;
  station.calibrations = {wide, sector};
  EXPECT_EQ(station.bias_of(bearing(100.0)), -3.0);
  EXPECT_EQ(station.bias_of(bearing(10.0)), 2.0);
  EXPECT_EQ(station.bias_of(bearing(10.0, 146e6, kNoon - Duration{1})), 0.5);
  station.calibrations = {sector, wide};
  EXPECT_EQ(station.bias_of(bearing(100.0)), 2.0);
}

}  // namespace
}  // namespace fixwright
