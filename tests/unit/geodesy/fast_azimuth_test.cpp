#include "server/geodesy/fast_azimuth.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::geodesy {
namespace {

double error_m(GeoPoint station, GeoPoint point) {
  const AzimuthView fast = fast_azimuth(station_frame(station), surface_point(point));
  const GeodesicInverse exact = inverse(station, point);
  const double difference_deg = wrap_180(fast.azimuth_rad * kRadToDeg - exact.azimuth1_deg);
  return std::abs(difference_deg) * kDegToRad * exact.reduced_length_m;
}

/// Largest error over a grid of latitudes and azimuths at one range.
double worst_error_m(double range_m) {
  double worst = 0.0;
  for (double latitude = -90.0; latitude <= 90.0; latitude += 2.5) {
    for (double azimuth = 0.0; azimuth < 360.0; azimuth += 7.5) {
      const GeoPoint station{latitude, 179.9};
      worst = std::max(worst, error_m(station, direct(station, azimuth, range_m)));
    }
  }
  return worst;
}

TEST(FastAzimuth, StaysWithinATenthOfAMillimetreWhereItIsUsed) {
  for (const double range_m : {1.0, 100.0, 1e4, 5e4, kFastRange_m}) {
    // A tenth: bearings that cross at 6 degrees make ten times as much of it, still 1 mm.
    EXPECT_LT(worst_error_m(range_m), 1e-4) << range_m;
  }
}

TEST(FastAzimuth, StaysAGoodStartAcrossAThousandKilometres) {
  EXPECT_LT(worst_error_m(1e6), 3.0);  // metres: then the exact finish needs one round more
}

TEST(FastAzimuth, RatesMeetFiniteDifferencesOfTheExactAzimuth) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> latitude(-80.0, 80.0);
  std::uniform_real_distribution<double> azimuth(0.0, 360.0);
  std::uniform_real_distribution<double> log_range(2.0, 6.0);
  for (int i = 0; i < 300; ++i) {
    const GeoPoint station{latitude(random), -179.95};
    const GeoPoint point = direct(station, azimuth(random), std::pow(10.0, log_range(random)));
    const GeodesicInverse line = inverse(station, point);
    const double step_m = 1e-3 * line.range_m;
    const auto turn_rad = [&](EnOffset by) {
      const double plus = inverse(station, displace(point, by)).azimuth1_deg;
      const double minus =
          inverse(station, displace(point, {-by.east_m, -by.north_m})).azimuth1_deg;
      return wrap_180(plus - minus) * kDegToRad / (2.0 * step_m);
    };
    const double per_east = turn_rad({step_m, 0.0});
    const double per_north = turn_rad({0.0, step_m});
    const double scale = 1.0 / line.range_m;
    const AzimuthSlope exact = azimuth_slope(line);
    // Central differences with a step of 1e-3 of the range: truncation 1e-6 of the rate.
    EXPECT_NEAR(exact.per_east_deg_per_m * kDegToRad, per_east, 3e-6 * scale);
    EXPECT_NEAR(exact.per_north_deg_per_m * kDegToRad, per_north, 3e-6 * scale);
    const AzimuthView fast = fast_azimuth(station_frame(station), surface_point(point));
    // On a sphere of mean radius: within 1e-3 of the rate up to 1000 km.
    EXPECT_NEAR(fast.per_east_rad_per_m, per_east, 1e-3 * scale);
    EXPECT_NEAR(fast.per_north_rad_per_m, per_north, 1e-3 * scale);
  }
}

TEST(FastAzimuth, IsFiniteAtTheStationItself) {
  const GeoPoint station{90.0, 0.0};
  const AzimuthView view = fast_azimuth(station_frame(station), surface_point(station));
  EXPECT_TRUE(std::isfinite(view.azimuth_rad));
  EXPECT_TRUE(std::isfinite(view.per_east_rad_per_m));
  EXPECT_TRUE(std::isfinite(view.per_north_rad_per_m));
}

TEST(SurfacePoint, GivesItsPlaceBackAtPolesAndAntimeridian) {
  for (const GeoPoint p : {GeoPoint{90.0, 0.0}, GeoPoint{-90.0, 0.0}, GeoPoint{41.2, -180.0},
                           GeoPoint{-12.5, 179.999}, GeoPoint{0.0, 0.0}}) {
    const GeoPoint back = geo_point(surface_point(p));
    EXPECT_NEAR(distance_m(back, p), 0.0, 1e-8);  // ten nanometres: double rounding
  }
}

TEST(SurfacePoint, MovesByTheMetresAsked) {
  for (const double latitude : {-89.9, -41.2, 0.0, 60.0, 89.99}) {
    const GeoPoint from{latitude, 12.0};
    const GeoPoint to = geo_point(moved(surface_point(from), 30.0, -40.0));
    const EnOffset x = offset(from, to);
    // Over 50 m the tangent plane is good to 1e-4 of the way even a kilometre from a pole.
    EXPECT_NEAR(x.east_m, 30.0, 5e-3);
    EXPECT_NEAR(x.north_m, -40.0, 5e-3);
  }
}

}  // namespace
}  // namespace fixwright::geodesy
