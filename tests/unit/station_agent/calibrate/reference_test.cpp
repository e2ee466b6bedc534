// References as they are given on the command line.
#include "station_agent/calibrate/reference.hpp"

#include <gmock/gmock.h>

namespace fixwright::agent::calibrate {
namespace {

using testing::HasSubstr;

const GeoPoint kStation{41.430, -150.450};

TEST(References, TransmittersGetTheirAzimuthFromTheStationsPlace) {
  const auto all = references_of({}, {"42.430,-150.450,156800000"}, kStation);
  ASSERT_TRUE(all);
  ASSERT_EQ(all->size(), 1U);
  EXPECT_NEAR(all->front().line->azimuth_deg, 0.0, 1e-9);  // due north
  // A degree of latitude at 42 N is 111.05 km to 0.1 km: WGS84 meridian radius 6361.8 km there.
  EXPECT_NEAR(all->front().line->range_m, 111'060.0, 100.0);
  EXPECT_THAT(describe(*all), HasSubstr("156.800000 MHz from a transmitter at 0.00 deg"));
}

TEST(References, ExactlyOneKindIsWanted) {
  EXPECT_THAT(references_of({}, {}, kStation).error(), HasSubstr("either --common-reference"));
  EXPECT_THAT(references_of({1e8}, {"41,-150,1e8"}, kStation).error(), HasSubstr("not both"));
}

TEST(References, BadOnesAreNamed) {
  EXPECT_THAT(references_of({1e8, -5.0}, {}, kStation).error(), HasSubstr("-5"));
  EXPECT_THAT(references_of({}, {"41,x,1e8"}, kStation).error(), HasSubstr("41,x,1e8"));
  EXPECT_THAT(references_of({}, {"41,-150,1e8"}, std::nullopt).error(),
              HasSubstr("station.latitude_deg"));
}

TEST(References, WaveFrontAtTheUsualFarFieldLimitIsCurvedByATurnsSixteenth) {
  // 2 D^2 / wavelength, 22.5 deg: the IEEE's standard definition of the far field; from memory.
  const array::ArrayGeometry line = array::linear_array(2, 1.5);
  const double wavelength_m = array::kSpeedOfLight_m_s / 100e6;
  const Reference there{100e6, check::TrueLine{0.0, 2.0 * 1.5 * 1.5 / wavelength_m}};
  EXPECT_NEAR(curvature_deg(line, there), 22.5, 1e-9);
  EXPECT_EQ(curvature_deg(line, {100e6, std::nullopt}), 0.0);
}

}  // namespace
}  // namespace fixwright::agent::calibrate
