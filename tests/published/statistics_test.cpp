/// Ellipse factors and crossing lines (sources in data/), chi-square tables.

#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/ellipse.hpp"
#include "tests/published/table.hpp"

namespace fixwright::geodesy {
namespace {

TEST(EllipseFactor, MeetsTheTableOfChiSquareWithTwoDegreesOfFreedom) {
  for (const auto& row : published::table("ellipse_factors.csv")) {
    EXPECT_NEAR(ellipse_factor(row.number("p")), row.number("k"), 5e-7);  // table has 6 digits
  }
}

TEST(ErrorEllipse, OfTwoCrossingLinesHasTheClosedFormAxes) {
  for (const auto& row : published::table("crossing_lines.csv")) {
    // Lines of azimuths +beta/2 and -beta/2, unit error across each: the information is the sum of
    // the outer products of the unit vectors across them.
    const double half_rad = 0.5 * row.number("beta_deg") * kDegToRad;
    const double ee = 2.0 * std::pow(std::cos(half_rad), 2);
    const double nn = 2.0 * std::pow(std::sin(half_rad), 2);
    const ErrorEllipse e = error_ellipse({1.0 / ee, 0.0, 1.0 / nn}, 1.0 - std::exp(-0.5));
    EXPECT_NEAR(e.semi_major_m, row.number("sigma_max"), 5e-6);  // table has 5 decimals
    EXPECT_NEAR(e.semi_minor_m, row.number("sigma_min"), 5e-6);
  }
}

TEST(ChiSquare, UpperTailMeetsThePrintedTable) {
  struct Entry {
    int degrees_of_freedom;
    double x;
    double p;
  };
  // Source: M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions (1964), table 26.8,
  // percentage points of chi-square; from memory, four to five digits.
  constexpr std::array<Entry, 9> kTable{{{1, 3.841, 0.05},
                                         {1, 6.635, 0.01},
                                         {2, 5.991, 0.05},
                                         {2, 9.210, 0.01},
                                         {3, 7.815, 0.05},
                                         {5, 11.070, 0.05},
                                         {10, 18.307, 0.05},
                                         {10, 23.209, 0.01},
                                         {30, 43.773, 0.05}}};
  for (const Entry& e : kTable) {
    // x is printed to 0.0005 of itself at worst; the density there is below 0.06.
    EXPECT_NEAR(chi_square_survival(e.x, e.degrees_of_freedom), e.p, 5e-5);
  }
}

}  // namespace
}  // namespace fixwright::geodesy
