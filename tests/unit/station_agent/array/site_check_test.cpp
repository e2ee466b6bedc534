/// What a host is told about an array before it hears anything.

#include "station_agent/array/site_check.hpp"

#include <gtest/gtest.h>

#include "station_agent/array/azimuth_bound.hpp"
#include "tests/unit/station_agent/array/array_scene.hpp"

namespace fixwright::agent::array {
namespace {

// Common practice, no source: five elements on 0.14 m stand 0.42 wavelengths apart at 770 MHz and
// 0.47 at 858; 0.4 to 0.45 is good, below 0.5 acceptable.
TEST(Spacing, FiveElementsOnFourteenCentimetres) {
  const ArrayGeometry circle = circular_array(5, 0.14);
  const SpacingCheck low = check_spacing(circle, 770e6);
  EXPECT_NEAR(low.wavelengths, 0.42, 0.005);  // two digits are known
  EXPECT_EQ(low.verdict, SpacingVerdict::good);
  const SpacingCheck high = check_spacing(circle, 858e6);
  EXPECT_NEAR(high.wavelengths, 0.47, 0.005);
  EXPECT_EQ(high.verdict, SpacingVerdict::acceptable);
  EXPECT_EQ(check_spacing(circle, 1000e6).verdict, SpacingVerdict::wide);
  EXPECT_EQ(check_spacing(circle, 200e6).verdict, SpacingVerdict::small);
}

// 2 R sin(pi / N) = lambda / 2, from geometry: R / lambda 0.425 for 5, 0.576 for 7, 0.731 for 9.
TEST(Spacing, HalfAWavelengthOnCircles) {
  EXPECT_NEAR(neighbour_spacing_m(circular_array(5, 0.4253)), 0.5, 5e-4);
  EXPECT_NEAR(neighbour_spacing_m(circular_array(7, 0.5762)), 0.5, 5e-4);
  EXPECT_NEAR(neighbour_spacing_m(circular_array(9, 0.7310)), 0.5, 5e-4);
}

TEST(Ambiguity, ALineHasAPerfectImageBehindIt) {
  const Ambiguity worst = worst_ambiguity(Manifold{linear_array(5, 0.4)}, kMetreWave_hz);
  EXPECT_NEAR(worst.level, 1.0, 1e-9);
  EXPECT_NEAR(wrap_360(worst.azimuth_deg + worst.looks_like_deg), 180.0, 1e-9);
}

TEST(Ambiguity, ACircleAtHalfAWavelengthHasASidelobeOfSixTenths) {
  const Ambiguity half = worst_ambiguity(Manifold{circular_array(5, 0.4253)}, kMetreWave_hz);
  EXPECT_NEAR(half.level, 0.61, 0.02);
  const Ambiguity wide = worst_ambiguity(Manifold{circular_array(5, 1.0)}, kMetreWave_hz);
  EXPECT_GT(wide.level, 0.8);
}

TEST(CableError, OneCentimetreIsTheBearingErrorOfItsPhase) {
  // By the bound's algebra one element's small phase error e turns the azimuth by
  // e * 2 / (N k R) * |cos of its place|: rms over the circle e * sqrt(2) / (N k R).
  const double f = 430e6;
  const double radius_m = 0.28;
  const double phase_rad = 2.0 * std::numbers::pi * f * 0.01 / (kSpeedOfLight_m_s * 0.66);
  const double kr = 2.0 * std::numbers::pi * radius_m / lambda_m(f);
  const double expected_deg = phase_rad * std::sqrt(2.0) / (5.0 * kr) * kRadToDeg;
  const auto errors = cable_errors(Manifold{circular_array(5, radius_m)}, f);
  ASSERT_EQ(errors.size(), 5U);
  for (const CableError& e : errors) {
    EXPECT_NEAR(e.rms_deg / expected_deg, 1.0, 0.03);  // 8 deg of phase are not quite small
    EXPECT_NEAR(e.worst_deg / e.rms_deg, std::sqrt(2.0), 0.05);
  }
}

TEST(Floor, OfIndependentElementErrorsIsWhatTheyMakeOfAzimuths) {
  const Manifold manifold{circular_array(5, 0.4)};
  const double kr = 2.0 * std::numbers::pi * 0.4;
  // Turning of a circle is (kR)^2 / 2.
  EXPECT_NEAR(floor_of_error_deg(manifold, 33.0, kMetreWave_hz, 3.0),
              3.0 / std::sqrt(5.0 * kr * kr / 2.0), 1e-3);
}

}  // namespace
}  // namespace fixwright::agent::array
