/// Closed-form bounds on the plane: the covariance that bearings allow. Computed by hand from
/// sigma^2 (sum h h')^-1 with h = (cos azimuth, -sin azimuth) / range (Torrieri, IEEE Trans.
/// AES-20 (1984) 183, gives the same form).

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/locate/cross_fix.hpp"

namespace fixwright::locate {
namespace {

constexpr GeoPoint kOrigin{41.20, -150.30};

PooledBearing exact_bearing(int station, geodesy::EnOffset at, GeoPoint emitter, double sigma_deg) {
  const GeoPoint place = geodesy::displace(kOrigin, at);
  return {station, place, geodesy::inverse(place, emitter).azimuth1_deg, sigma_deg, 1, {}};
}

// The earth's curvature and convergence change the plane's figures by (10 km / 6371 km)^2, and the
// tangent plane's scale by less: 1e-5 of the value, 5 mm; the closed form has 4 decimals.
constexpr double kTolerance_m = 0.02;

TEST(CrossFix, CovarianceOfTwoStationsMeetsTheClosedForm) {
  const GeoPoint emitter = geodesy::displace(kOrigin, {0.0, 10'000.0});
  const std::vector<PooledBearing> bearings{exact_bearing(1, {-5'000.0, 0.0}, emitter, 1.0),
                                            exact_bearing(2, {5'000.0, 0.0}, emitter, 1.0)};
  const CrossFix fix = cross_fix(bearings);
  ASSERT_TRUE(fix.accepted());
  EXPECT_NEAR(std::sqrt(fix.covariance.ee_m2), 154.2668, kTolerance_m);
  EXPECT_NEAR(std::sqrt(fix.covariance.nn_m2), 308.5335, kTolerance_m);
  EXPECT_NEAR(fix.covariance.en_m2, 0.0, 5.0);
}

TEST(CrossFix, CovarianceInTheMiddleOfATriangleMeetsTheClosedForm) {
  const double circumradius_m = 20'000.0 / std::sqrt(3.0);
  std::vector<PooledBearing> bearings;
  for (int i = 0; i < 3; ++i) {
    const double azimuth_rad = i * 2.0 * 3.141592653589793 / 3.0;
    bearings.push_back(exact_bearing(
        i + 1, {circumradius_m * std::sin(azimuth_rad), circumradius_m * std::cos(azimuth_rad)},
        kOrigin, 2.0));
  }
  const CrossFix fix = cross_fix(bearings);
  ASSERT_TRUE(fix.accepted());
  EXPECT_EQ(fix.grade, FixGrade::checked);
  EXPECT_NEAR(std::sqrt(fix.covariance.ee_m2), 329.1024, kTolerance_m);
  EXPECT_NEAR(std::sqrt(fix.covariance.nn_m2), 329.1024, kTolerance_m);
}

}  // namespace
}  // namespace fixwright::locate
