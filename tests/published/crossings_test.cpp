/// Crossings of geodesics (source in data/geodesic_crossings.csv): the azimuths fed as bearings.

#include <gtest/gtest.h>

#include <vector>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/locate/cross_fix.hpp"
#include "tests/published/table.hpp"

namespace fixwright::locate {
namespace {

/// Up to 12 000 km, and lines of 2.5 degrees' convergence: the rules must let them.
LocateRules wide_rules() {
  LocateRules rules;
  rules.max_range_m = 1.9e7;
  rules.min_crossing_deg = 1.0;
  return rules;
}

std::vector<PooledBearing> bearings_of(const published::Row& row) {
  constexpr double kSigma_deg = 1e-4;
  const GeoPoint a{row.number("a_lat"), row.number("a_lon")};
  const GeoPoint c{row.number("c_lat"), row.number("c_lon")};
  return {{1, a, wrap_360(row.number("azimuth_ab")), kSigma_deg, 1, {}},
          {2, c, wrap_360(row.number("azimuth_cd")), kSigma_deg, 1, {}}};
}

TEST(CrossFix, MeetsPublishedCrossingsOfGeodesics) {
  auto rows = published::table("geodesic_crossings.csv");
  ASSERT_EQ(rows.size(), 8U);
  rows.pop_back();  // behind a station: the next test
  for (const auto& row : rows) {
    const CrossFix fix = cross_fix(bearings_of(row), wide_rules());
    ASSERT_TRUE(fix.accepted()) << row.text("a_lat") << ": " << to_string(fix.refusal);
    const GeoPoint published{row.number("lat"), row.number("lon")};
    // Azimuths are printed to 1e-12 degree, good to 0.2 um at 12 000 km; the solver stops at steps
    // of 0.1 mm and far azimuths are exact to 0.05 mm across: 1 mm is the promise.
    EXPECT_LT(geodesy::distance_m(fix.position, published), 1e-3) << row.text("a_lat");
    EXPECT_EQ(fix.grade, FixGrade::unchecked);
  }
}

TEST(CrossFix, CrossingBehindAStationIsRefused) {
  const auto row = published::table("geodesic_crossings.csv").back();
  const CrossFix fix = cross_fix(bearings_of(row), wide_rules());
  EXPECT_EQ(fix.refusal, Refusal::no_crossing);
}

}  // namespace
}  // namespace fixwright::locate
