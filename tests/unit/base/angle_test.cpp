/// Ranges of angles, pinned: an azimuth is in [0, 360), a difference of two in [-180, 180).

#include "server/base/angle.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <random>

namespace fixwright {
namespace {

TEST(AngleConvention, AzimuthIsInZeroTo360WithoutTheEnd) {
  EXPECT_EQ(wrap_360(0.0), 0.0);
  EXPECT_EQ(wrap_360(360.0), 0.0);
  EXPECT_EQ(wrap_360(-90.0), 270.0);
  EXPECT_EQ(wrap_360(725.0), 5.0);
  EXPECT_EQ(wrap_360(-720.0), 0.0);
}

TEST(AngleConvention, DifferenceIsInMinus180To180WithoutTheEnd) {
  EXPECT_EQ(wrap_180(180.0), -180.0);
  EXPECT_EQ(wrap_180(-180.0), -180.0);
  EXPECT_EQ(wrap_180(190.0), -170.0);
  EXPECT_EQ(wrap_180(359.5 - 0.5), -1.0);
  EXPECT_EQ(wrap_180(0.5 - 359.5), 1.0);
}

// -1e-20 + 360 is 360 in a double: the end that must not appear.
TEST(AngleConvention, TinyNegativeAngleIsNorthAndNot360) {
  EXPECT_EQ(wrap_360(-1e-20), 0.0);
  EXPECT_EQ(wrap_360(-std::numeric_limits<double>::denorm_min()), 0.0);
}

TEST(AngleConvention, AnyAngleEndsInItsRangeAndKeepsItsDirection) {
  std::mt19937_64 random{7};
  std::uniform_real_distribution<double> any{-1e6, 1e6};
  for (int i = 0; i < 20'000; ++i) {
    const double deg = any(random);
    const double azimuth = wrap_360(deg);
    const double difference = wrap_180(deg);
    ASSERT_TRUE(azimuth >= 0.0 && azimuth < 360.0) << deg;
    ASSERT_TRUE(difference >= -180.0 && difference < 180.0) << deg;
    // 1e6 degrees carry 1.2e-10 of rounding; the cosine has slope of at most 0.0175 a degree.
    ASSERT_NEAR(std::cos(azimuth * kDegToRad), std::cos(deg * kDegToRad), 1e-10) << deg;
    ASSERT_NEAR(std::sin(difference * kDegToRad), std::sin(deg * kDegToRad), 1e-10) << deg;
  }
}

TEST(AngleConvention, HalfATurnIsPiRadians) {
  EXPECT_DOUBLE_EQ(180.0 * kDegToRad, std::numbers::pi);
  EXPECT_DOUBLE_EQ(std::numbers::pi * kRadToDeg, 180.0);
}

}  // namespace
}  // namespace fixwright
