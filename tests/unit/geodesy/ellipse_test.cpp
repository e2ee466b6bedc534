#include "server/geodesy/ellipse.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::geodesy {
namespace {

TEST(ErrorEllipse, GivesItsCovarianceBack) {
  const EnCovariance c{900.0, -350.0, 2500.0};
  const EnCovariance back = covariance_of(error_ellipse(c, 0.95));
  EXPECT_NEAR(back.ee_m2, c.ee_m2, 1e-9);  // rounding of a sine and a cosine
  EXPECT_NEAR(back.en_m2, c.en_m2, 1e-9);
  EXPECT_NEAR(back.nn_m2, c.nn_m2, 1e-9);
}

TEST(ErrorEllipse, OfOneSigmaHoldsOnly39Percent) {
  const ErrorEllipse e = error_ellipse({100.0, 0.0, 25.0}, 0.3934693);
  EXPECT_NEAR(e.semi_major_m, 10.0, 1e-5);  // p has 7 digits
  EXPECT_NEAR(e.semi_minor_m, 5.0, 1e-5);
}

TEST(EllipseRing, IsClosedAndCounterClockwiseOnTheEllipse) {
  const GeoPoint centre{41.2, -150.3};
  const ErrorEllipse e{3000.0, 1000.0, 30.0, 0.95};
  const auto ring = ellipse_ring(centre, e, 36);
  ASSERT_EQ(ring.size(), 37U);
  EXPECT_EQ(ring.front(), ring.back());
  double twice_area_m2 = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const EnOffset a = offset(centre, ring[i]);
    const EnOffset b = offset(centre, ring[i + 1]);
    twice_area_m2 += a.east_m * b.north_m - a.north_m * b.east_m;
    EXPECT_NEAR(mahalanobis_squared(covariance_of(e), a), 5.991, 0.001);  // chi-square, 95 %
  }
  EXPECT_GT(twice_area_m2, 0.0);
  EXPECT_NEAR(offset(centre, ring.front()).north_m, 3000.0 * std::cos(30.0 * M_PI / 180.0), 1e-6);
}

TEST(EllipseHolds, ItsCentreAndNotAPointPastItsShortAxis) {
  const GeoPoint centre{41.2, -150.3};
  const ErrorEllipse e{3000.0, 1000.0, 0.0, 0.95};
  EXPECT_TRUE(ellipse_holds(centre, e, centre));
  EXPECT_TRUE(ellipse_holds(centre, e, direct(centre, 0.0, 2999.0)));
  EXPECT_FALSE(ellipse_holds(centre, e, direct(centre, 90.0, 1001.0)));
}

TEST(PositiveDefinite, RefusesWhatIsNoCovariance) {
  EXPECT_TRUE(is_positive_definite({1.0, 0.5, 1.0}));
  EXPECT_FALSE(is_positive_definite({1.0, 1.0, 1.0}));
  EXPECT_FALSE(is_positive_definite({-1.0, 0.0, 1.0}));
  EXPECT_FALSE(is_positive_definite({std::numeric_limits<double>::quiet_NaN(), 0.0, 1.0}));
  EXPECT_FALSE(is_positive_definite({std::numeric_limits<double>::infinity(), 0.0, 1.0}));
}

TEST(ChiSquareSurvival, OfTwoDegreesOfFreedomIsTheExponential) {
  for (const double x : {0.01, 1.0, 5.0, 20.0, 200.0, 1000.0}) {
    const double expected = std::exp(-0.5 * x);
    EXPECT_NEAR(chi_square_survival(x, 2) / expected, 1.0, 1e-10);  // the closed form, any x
  }
}

TEST(ChiSquareSurvival, IsOneForNothingMeasuredAndZeroForTheImpossible) {
  EXPECT_EQ(chi_square_survival(0.0, 3), 1.0);
  EXPECT_EQ(chi_square_survival(5.0, 0), 1.0);
  EXPECT_EQ(chi_square_survival(1e12, 3), 0.0);
}

}  // namespace
}  // namespace fixwright::geodesy
