/// velocity_of() against the length of a Gaussian vector, integrated.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "server/track/motion_filter.hpp"

namespace fixwright::track {
namespace {

struct Speed {
  double mean = 0.0;
  double sigma = 0.0;
};

/// By the sum over a grid of +-9 sigmas along each axis of the spread (the trapezium rule, whose
/// error falls faster than any power of the step for a function that dies away at both ends).
Speed integrated(double east, double north, double east_sigma, double north_sigma, double turn) {
  constexpr int kHalf = 180;
  constexpr double kStep = 0.05;
  double mass = 0.0;
  double first = 0.0;
  double second = 0.0;
  for (int i = -kHalf; i <= kHalf; ++i) {
    for (int j = -kHalf; j <= kHalf; ++j) {
      const double x = kStep * i;
      const double y = kStep * j;
      const double density = std::exp(-0.5 * (x * x + y * y));
      const double a = east_sigma * x;
      const double b = north_sigma * y;
      const double e = east + std::cos(turn) * a - std::sin(turn) * b;
      const double n = north + std::sin(turn) * a + std::cos(turn) * b;
      mass += density;
      first += density * std::hypot(e, n);
      second += density * (e * e + n * n);
    }
  }
  const double mean = first / mass;
  return {mean, std::sqrt(second / mass - mean * mean)};
}

EnCovariance spread(double east_sigma, double north_sigma, double turn) {
  const double c = std::cos(turn);
  const double s = std::sin(turn);
  const double a = east_sigma * east_sigma;
  const double b = north_sigma * north_sigma;
  return {a * c * c + b * s * s, (a - b) * s * c, a * s * s + b * c * c};
}

/// Mean of Rice's distribution: s sqrt(pi/2) L(-v^2 / 2 s^2), L the Laguerre function of order 1/2,
///     L(x) = e^(x/2) ((1 - x) I0(-x/2) - x I1(-x/2)).
/// Source: S. O. Rice, Bell System Technical Journal 24 (1945) 46, section 3.10; the moment in this
/// form from memory, and held against the integral below.
double rice_mean(double v, double s) {
  const double x = -v * v / (2.0 * s * s);
  const double laguerre = std::exp(0.5 * x) * ((1.0 - x) * std::cyl_bessel_i(0.0, -0.5 * x) -
                                               x * std::cyl_bessel_i(1.0, -0.5 * x));
  return s * std::sqrt(0.5 * std::numbers::pi) * laguerre;
}

TEST(Speed, TheIntegralOfThisTestMeetsRicesClosedForm) {
  for (const double v : {0.5, 1.0, 3.0, 10.0}) {
    const double mean = rice_mean(v, 1.0);
    const Speed s = integrated(v, 0.0, 1.0, 1.0, 0.3);
    // The grid's one sharp point, |v| at 0, costs step^3.
    EXPECT_NEAR(s.mean, mean, 2e-5) << v;
    EXPECT_NEAR(s.sigma, std::sqrt(v * v + 2.0 - mean * mean), 5e-5) << v;
  }
}

TEST(Speed, WhollyUnknownIsRayleighs) {
  const Velocity v = velocity_of(0.0, 0.0, {9.0, 0.0, 9.0});
  // Mean s sqrt(pi/2), variance s^2 (2 - pi/2): Rice 1945 with v = 0, common practice.
  EXPECT_NEAR(v.speed_m_per_s, 3.0 * std::sqrt(0.5 * std::numbers::pi), 1e-9);
  EXPECT_NEAR(v.speed_sigma_m_per_s, 3.0 * std::sqrt(2.0 - 0.5 * std::numbers::pi), 1e-9);
}

TEST(Speed, UnknownAlongOneLineOnlyIsHalfANormal) {
  const Velocity v = velocity_of(0.0, 0.0, {0.0, 0.0, 4.0});
  // E|x| = s sqrt(2/pi).
  EXPECT_NEAR(v.speed_m_per_s, 2.0 * std::sqrt(2.0 / std::numbers::pi), 1e-9);
  EXPECT_NEAR(v.speed_sigma_m_per_s, 2.0 * std::sqrt(1.0 - 2.0 / std::numbers::pi), 1e-9);
}

TEST(Speed, WellKnownIsTheVelocitysOwnLengthAndItsSigmaAlongTheCourse) {
  const Velocity v = velocity_of(30.0, 40.0, spread(0.1, 0.4, 0.0));
  EXPECT_NEAR(v.course_deg, std::atan2(30.0, 40.0) * 180.0 / std::numbers::pi, 1e-9);
  // |v| + (variance across) / 2 |v|; the next term is 1e-6 m/s.
  const double across = 0.1 * 0.1 * 0.64 + 0.4 * 0.4 * 0.36;
  EXPECT_NEAR(v.speed_m_per_s, 50.0 + across / 100.0, 1e-5);
  const double along = 0.1 * 0.1 * 0.36 + 0.4 * 0.4 * 0.64;
  EXPECT_NEAR(v.speed_sigma_m_per_s, std::sqrt(along), 1e-4);
}

TEST(Speed, KnownExactlyHasNoSigma) {
  const Velocity v = velocity_of(-3.0, 4.0, {0.0, 0.0, 0.0});
  EXPECT_NEAR(v.speed_m_per_s, 5.0, 1e-9);
  EXPECT_NEAR(v.speed_sigma_m_per_s, 0.0, 1e-6);
  EXPECT_EQ(velocity_of(0.0, 0.0, {0.0, 0.0, 0.0}).speed_m_per_s, 0.0);
}

/// Between those ends the m-distribution is a fit by two moments; the limits are those the header
/// states.
TEST(Speed, InBetweenStaysCloseToTheIntegral) {
  struct Limit {
    double ratio;
    double mean;
    double sigma;
  };
  for (const Limit& limit : {Limit{1.0, 0.01, 0.05}, Limit{0.2, 0.03, 0.12}}) {
    double worst_mean = 0.0;
    double worst_sigma = 0.0;
    for (const double v : {0.3, 0.7, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0}) {
      for (const double turn : {0.0, 0.5, 1.0, 1.5}) {
        const Speed exact = integrated(0.6 * v, 0.8 * v, 1.0, limit.ratio, turn);
        const Velocity got = velocity_of(0.6 * v, 0.8 * v, spread(1.0, limit.ratio, turn));
        worst_mean = std::max(worst_mean, std::abs(got.speed_m_per_s / exact.mean - 1.0));
        worst_sigma = std::max(worst_sigma, std::abs(got.speed_sigma_m_per_s / exact.sigma - 1.0));
      }
    }
    std::printf("  width / length %.1f: mean off by %.2f %%, sigma by %.2f %% at worst\n",
                limit.ratio, 100.0 * worst_mean, 100.0 * worst_sigma);
    EXPECT_LE(worst_mean, limit.mean);
    EXPECT_LE(worst_sigma, limit.sigma);
  }
}

TEST(Speed, TheSeriesOfALargeShapeJoinsTheGammaFunctions) {
  // Shape 30 lies between these two: mean square over twice the variance of it.
  const auto share = [](double v) {
    const Velocity got = velocity_of(v, 0.0, {1.0, 0.0, 1.0});
    return got.speed_m_per_s / std::sqrt(v * v + 2.0);
  };
  // shape = (v^2 + 2)^2 / (4 + 4 v^2) = 30 at v^2 = 58 + sqrt(3480).
  const double v = std::sqrt(58.0 + std::sqrt(58.0 * 58.0 + 116.0));
  EXPECT_NEAR(share(v - 1e-7), share(v + 1e-7), 1e-6);
}

}  // namespace
}  // namespace fixwright::track
