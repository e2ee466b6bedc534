/// disc_probability() against Boost.Math: its non-central chi-squared for round errors, and for
/// long ones its normal distribution integrated over strips of the disc by its Gauss-Kronrod rule.

#include <fmt/core.h>
#include <gtest/gtest.h>

#include <boost/math/distributions/non_central_chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <numbers>

#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

struct Disc {
  double east_m, north_m;
  double sigma_1_m, sigma_2_m, turn_deg;  // sigma_1_m lies turn_deg from east towards north
  double radius_m;
};

class DiscProbabilityTest : public testing::Test {
 protected:
  double of(const Disc& d) {
    const double a = d.turn_deg * std::numbers::pi / 180.0;
    const double v1 = d.sigma_1_m * d.sigma_1_m, v2 = d.sigma_2_m * d.sigma_2_m;
    const double c = std::cos(a), s = std::sin(a);
    const auto found =
        rows(reader, fmt::format("SELECT disc_probability({},{},{},{},{},{})", d.east_m, d.north_m,
                                 v1 * c * c + v2 * s * s, (v1 - v2) * s * c,
                                 v1 * s * s + v2 * c * c, d.radius_m));
    return std::stod(found.front());
  }

  const ScratchDatabase database;
  pqxx::connection reader{database.reader()};
};

/// The squared distance in sigmas has two degrees of freedom, displaced by the offset.
double round_reference(double offset, double radius, double sigma) {
  const boost::math::non_central_chi_squared spread(2.0, std::pow(offset / sigma, 2));
  return boost::math::cdf(spread, std::pow(radius / sigma, 2));
}

double strip_reference(const Disc& d) {
  const double a = d.turn_deg * std::numbers::pi / 180.0;
  const double u = d.east_m * std::cos(a) + d.north_m * std::sin(a);
  const double v = d.north_m * std::cos(a) - d.east_m * std::sin(a);
  const boost::math::normal along(u, d.sigma_1_m), across(v, d.sigma_2_m);
  // x = r sin(t) keeps the half-chord smooth at the ends.
  const auto strip = [&](double t) {
    const double half = d.radius_m * std::cos(t);
    return boost::math::pdf(along, d.radius_m * std::sin(t)) *
           (boost::math::cdf(across, half) - boost::math::cdf(across, -half)) * half;
  };
  const double quarter = std::numbers::pi / 2.0;
  return boost::math::quadrature::gauss_kronrod<double, 61>::integrate(strip, -quarter, quarter, 15,
                                                                       1e-13);
}

// Both sides sum some hundred terms in doubles; Boost states 1e-13 or so for these ranges.
constexpr double kAgrees = 1e-10;

TEST_F(DiscProbabilityTest, OfARoundErrorIsTheNonCentralChiSquared) {
  for (const double offset : {0.0, 10.0, 100.0, 150.0, 400.0, 1000.0, 5000.0}) {
    for (const double radius : {1.0, 50.0, 100.0, 1000.0, 4800.0, 20'000.0}) {
      EXPECT_NEAR(of({0.6 * offset, -0.8 * offset, 100.0, 100.0, 0.0, radius}),
                  round_reference(offset, radius, 100.0), kAgrees)
          << offset << " " << radius;
    }
  }
}

TEST_F(DiscProbabilityTest, OfALongErrorIsTheSumOfStrips) {
  for (const double turn_deg : {0.0, 30.0, 90.0, 135.0}) {
    for (const double radius : {20.0, 300.0, 1000.0, 2500.0}) {
      for (const double sigma_2_m : {300.0, 60.0, 10.0}) {
        const Disc disc{700.0, 400.0, 500.0, sigma_2_m, turn_deg, radius};
        EXPECT_NEAR(of(disc), strip_reference(disc), kAgrees)
            << turn_deg << " " << radius << " " << sigma_2_m;
      }
    }
  }
}

TEST_F(DiscProbabilityTest, NeedleCountsAsATwoThousandthOfTheRadius) {
  // Along the needle's line the disc reaches from -1000 to 1000: 1 sigma each way. The needle
  // that was made 0.5 m thick blurs the rim by 0.5 m in 1000: less than 1e-3 of probability.
  const boost::math::normal unit;
  EXPECT_NEAR(of({0.0, 0.0, 1000.0, 1e-3, 0.0, 1000.0}), 2.0 * boost::math::cdf(unit, 1.0) - 1.0,
              1e-3);
}

TEST_F(DiscProbabilityTest, StaysBetweenZeroAndOne) {
  EXPECT_EQ(of({1e6, 0.0, 10.0, 10.0, 0.0, 100.0}), 0.0);
  EXPECT_LE(of({0.0, 0.0, 10.0, 10.0, 0.0, 1e6}), 1.0);
  EXPECT_NEAR(of({0.0, 0.0, 10.0, 10.0, 0.0, 1e6}), 1.0, 1e-12);  // 1e5 sigmas
}

}  // namespace
}  // namespace fixwright::test
