/// Conventions are API: whoever changes one of these breaks every caller.

#include <gtest/gtest.h>

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::geodesy {
namespace {

constexpr GeoPoint kOsmere{41.20, -150.30};

TEST(AzimuthConvention, NorthIsZeroAndEastIsNinety) {
  EXPECT_NEAR(inverse({0.0, 10.0}, {1.0, 10.0}).azimuth1_deg, 0.0, 1e-12);
  EXPECT_NEAR(inverse({0.0, 10.0}, {0.0, 11.0}).azimuth1_deg, 90.0, 1e-12);
  EXPECT_NEAR(inverse({0.0, 10.0}, {-1.0, 10.0}).azimuth1_deg, 180.0, 1e-12);
  EXPECT_NEAR(inverse({0.0, 10.0}, {0.0, 9.0}).azimuth1_deg, 270.0, 1e-12);
}

TEST(AzimuthConvention, SecondAzimuthPointsOnward) {
  const GeodesicInverse line = inverse({0.0, 10.0}, {0.0, 11.0});
  EXPECT_NEAR(line.azimuth2_deg, 90.0, 1e-12);
}

TEST(LongitudeConvention, IsBelow180) {
  EXPECT_DOUBLE_EQ(wrap_longitude(180.0), -180.0);
  EXPECT_LT(direct({0.0, 179.9}, 90.0, 50'000.0).longitude_deg, -179.0);
}

TEST(LocalFrame, EastIsRightOfNorth) {
  const EnOffset x = offset(kOsmere, direct(kOsmere, 90.0, 1000.0));
  EXPECT_NEAR(x.east_m, 1000.0, 1e-6);
  EXPECT_NEAR(x.north_m, 0.0, 1e-6);
}

TEST(LocalFrame, DisplaceUndoesOffsetOverTheAntimeridian) {
  const GeoPoint from{-17.0, 179.95};
  const GeoPoint to{-16.5, -179.9};
  const GeoPoint back = displace(from, offset(from, to));
  EXPECT_NEAR(back.latitude_deg, to.latitude_deg, 1e-12);
  EXPECT_NEAR(back.longitude_deg, to.longitude_deg, 1e-12);
}

TEST(EllipseConvention, OrientationIsTheAzimuthOfTheLongAxis) {
  EXPECT_NEAR(error_ellipse({4.0, 0.0, 1.0}, 0.5).orientation_deg, 90.0, 1e-12);
  EXPECT_NEAR(error_ellipse({1.0, 0.0, 4.0}, 0.5).orientation_deg, 0.0, 1e-12);
  EXPECT_NEAR(error_ellipse({2.0, 1.0, 2.0}, 0.5).orientation_deg, 45.0, 1e-12);
  EXPECT_NEAR(error_ellipse({2.0, -1.0, 2.0}, 0.5).orientation_deg, 135.0, 1e-12);
  EXPECT_EQ(error_ellipse({2.0, 0.0, 2.0}, 0.5).orientation_deg, 0.0);
}

TEST(CrossingAngle, IsFoldedToNinety) {
  EXPECT_NEAR(crossing_angle_deg(350.0, 20.0), 30.0, 1e-12);
  EXPECT_NEAR(crossing_angle_deg(10.0, 170.0), 20.0, 1e-12);
  EXPECT_NEAR(crossing_angle_deg(45.0, 315.0), 90.0, 1e-12);
}

}  // namespace
}  // namespace fixwright::geodesy
