/// Karney's test lines (source in data/geodesic_lines.csv) against our geodesy layer.

#include <gtest/gtest.h>

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "tests/published/table.hpp"

namespace fixwright::geodesy {
namespace {

// The set states 1e-13 degree and 1e-8 m, for exact input. Our input and output are doubles: one
// unit in the last place of an azimuth below 360 is 5.7e-14 degree, of a range of 2e7 m 3.7e-9 m.
// Two roundings of the input move the azimuth by about as much again; hence 2e-13 and 2e-8.
constexpr double kAzimuth_deg = 2e-13;
constexpr double kRange_m = 2e-8;

TEST(Geodesic, InverseMeetsKarneysLines) {
  const auto lines = published::table("geodesic_lines.csv");
  ASSERT_EQ(lines.size(), 20U);
  for (const auto& line : lines) {
    const GeodesicInverse found = inverse({line.number("lat1"), line.number("lon1")},
                                          {line.number("lat2"), line.number("lon2")});
    EXPECT_NEAR(found.range_m, line.number("s12"), kRange_m);
    EXPECT_NEAR(wrap_180(found.azimuth1_deg - line.number("azi1")), 0.0, kAzimuth_deg);
    EXPECT_NEAR(wrap_180(found.azimuth2_deg - line.number("azi2")), 0.0, kAzimuth_deg);
    EXPECT_NEAR(found.reduced_length_m, line.number("m12"), kRange_m);
  }
}

TEST(Geodesic, DirectMeetsKarneysLines) {
  for (const auto& line : published::table("geodesic_lines.csv")) {
    const GeoPoint end =
        direct({line.number("lat1"), line.number("lon1")}, line.number("azi1"), line.number("s12"));
    // Their end is a rounded double; 2e-13 degree is 22 nm.
    EXPECT_NEAR(end.latitude_deg, line.number("lat2"), kAzimuth_deg);
    EXPECT_NEAR(wrap_180(end.longitude_deg - line.number("lon2")), 0.0, kAzimuth_deg);
  }
}

}  // namespace
}  // namespace fixwright::geodesy
