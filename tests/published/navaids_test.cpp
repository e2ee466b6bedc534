/// Fixes defined by two radials (source in data/navaid_fixes.csv): each navaid a station, each
/// radial, made true, a bearing.

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "server/base/angle.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/locate/cross_fix.hpp"
#include "tests/published/table.hpp"

namespace fixwright::locate {
namespace {

// A radial printed to 0.01 degree is off by up to 0.005, evenly: sigma = 0.01 / sqrt(12).
const double kRounding_deg = 0.01 / std::sqrt(12.0);
// Positions of navaids are printed to 0.1 second, 3.09 m: the same on the ground. It matters for
// SANDO alone, 4.5 km from its station.
const double kNavaidRounding_m = 3.09 / std::sqrt(12.0);

GeoPoint published_place(const published::Row& row) {
  return {row.number("fix_lat"), row.number("fix_lon")};
}

PooledBearing radial(const published::Row& row, int which) {
  const std::string nav = "nav" + std::to_string(which);
  const double magnetic_deg = row.number("radial" + std::to_string(which) + "_mag");
  const double true_deg = magnetic_deg + row.number(nav + "_variation_deg_east");
  const GeoPoint place{row.number(nav + "_lat"), row.number(nav + "_lon")};
  const double range_m = geodesy::distance_m(place, published_place(row));
  const double sigma_deg = std::hypot(kRounding_deg, kNavaidRounding_m / range_m * kRadToDeg);
  return {which, place, wrap_360(true_deg), sigma_deg, 1, {}};
}

std::vector<published::Row> radial_radial() {
  std::vector<published::Row> rows;
  for (const auto& row : published::table("navaid_fixes.csv")) {
    if (row.text("kind") == "radial-radial") {
      rows.push_back(row);
    }
  }
  return rows;
}

TEST(CrossFix, MeetsPublishedFixesOfTwoRadialsWithinTheirRounding) {
  int consistent = 0;
  for (const auto& row : radial_radial()) {
    if (row.text("fix") == "WAKRI") {
      continue;
    }
    ++consistent;
    const std::vector<PooledBearing> bearings{radial(row, 1), radial(row, 2)};
    const CrossFix fix = cross_fix(bearings);
    ASSERT_TRUE(fix.accepted()) << row.text("fix") << ": " << to_string(fix.refusal);
    ErrorEllipse region = fix.ellipse;
    region.semi_major_m += 1.0;  // published positions are rounded to 0.01 second, 0.3 m
    region.semi_minor_m += 1.0;
    EXPECT_TRUE(geodesy::ellipse_holds(fix.position, region, published_place(row)))
        << row.text("fix") << " misses by "
        << geodesy::distance_m(fix.position, published_place(row)) << " m";
  }
  EXPECT_EQ(consistent, 4);
}

TEST(CrossFix, WakriDisagreesWithItsPublishedPlaceByMoreThanRounding) {
  for (const auto& row : radial_radial()) {
    if (row.text("fix") != "WAKRI") {
      continue;
    }
    const std::vector<PooledBearing> bearings{radial(row, 1), radial(row, 2)};
    const CrossFix fix = cross_fix(bearings);
    ASSERT_TRUE(fix.accepted());
    const double chi_square = geodesy::mahalanobis_squared(
        fix.covariance, geodesy::offset(fix.position, published_place(row)));
    EXPECT_LT(geodesy::chi_square_survival(chi_square, 2), 0.01);
    // By an independent calculation: 87.5 m, 3.4 sigma of rounding.
    EXPECT_NEAR(geodesy::distance_m(fix.position, published_place(row)), 87.5, 0.5);
    EXPECT_NEAR(std::sqrt(chi_square), 3.4, 0.3);
  }
}

}  // namespace
}  // namespace fixwright::locate
