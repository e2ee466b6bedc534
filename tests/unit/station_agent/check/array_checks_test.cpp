// What an array can and can't do, before it hears anything.
#include "station_agent/check/array_checks.hpp"

#include <gmock/gmock.h>

#include "tests/unit/station_agent/check/check_fixture.hpp"

namespace fixwright::agent::check {
namespace {

using testing::HasSubstr;

const array::ArrayGeometry kCircle = array::circular_array(5, 0.14);

array::Manifold calibrated(const array::ArrayGeometry& geometry) {
  array::ArrayCalibration c;
  c.method = array::CalibrationMethod::common_reference;
  c.elements.resize(geometry.elements.size());
  return array::Manifold{geometry, c};
}

// 2 R sin(36 deg) f / c: 0.4227 at 770 MHz and 0.4710 at 858 MHz. That 0.4 to 0.45 is good and
// below 0.5 acceptable is common practice, no source.
TEST(SpacingCheck, FiveElementsOf014MetresAre042And047Wavelengths) {
  const Finding f = check_spacing(kCircle, {770e6, 858e6});
  EXPECT_EQ(f.severity, Severity::ok);
  EXPECT_NEAR(figure(f, "spacing_wavelengths_low"), 0.4227, 5e-5);
  EXPECT_NEAR(figure(f, "spacing_wavelengths_high"), 0.4710, 5e-5);
  EXPECT_THAT(f.what,
              testing::AllOf(HasSubstr("0.42 wavelengths between neighbours at 770.000 MHz"),
                             HasSubstr("0.47 at 858.000 MHz")));
}

TEST(SpacingCheck, HalfAWavelengthAndMoreIsAWarningAndTellsHowMuchToShrink) {
  const Finding f = check_spacing(kCircle, {770e6, 960e6});  // 0.527
  EXPECT_EQ(f.severity, Severity::warning);
  EXPECT_THAT(f.to_do, HasSubstr("times 0.82"));  // 0.43 / 0.527
}

TEST(SpacingCheck, ASmallArrayIsAdvisedToGrow) {
  const Finding f = check_spacing(kCircle, {156e6, 162e6});  // 0.089
  EXPECT_EQ(f.severity, Severity::advice);
  EXPECT_THAT(f.to_do, HasSubstr("larger array"));
}

TEST(AmbiguityCheck, AWideCircleConfusesDirectionsAndAGoodOneDoesNot) {
  EXPECT_EQ(check_ambiguity(calibrated(kCircle), {}, {770e6, 858e6}).severity, Severity::ok);
  const Finding wide = check_ambiguity(calibrated(kCircle), {}, {770e6, 2400e6});
  EXPECT_GE(wide.severity, Severity::warning) << wide.what;
  EXPECT_THAT(wide.to_do, HasSubstr("closer"));
}

TEST(AmbiguityCheck, ALineCantTellFrontFromBackUnlessOneSideIsLookedAt) {
  const array::Manifold line = calibrated(array::linear_array(5, 0.15));
  const Finding both = check_ambiguity(line, {}, {770e6, 858e6});
  EXPECT_EQ(both.severity, Severity::fault);
  EXPECT_NEAR(figure(both, "ambiguity_level"), 1.0, 1e-9);
  array::EstimatorRules rules;
  rules.sector_half_width_deg = 90.0;
  EXPECT_EQ(check_ambiguity(line, rules, {770e6, 858e6}).severity, Severity::ok);
}

// One cable of five longer by x turns the phase of its element by d = 2 pi f x / (0.66 c). To first
// order the azimuth moves by d cos(beta) / (5/2 * 2 pi R / lambda), beta from the element's
// quadrature: for f = 858 MHz, x = 1 cm: d = 15.6 deg, 2 pi R / lambda = 2.517, so 2.5 deg at most.
TEST(CableCheck, OneCentimetreTurnsAzimuthsAsTheFirstOrderSays) {
  const Finding f = check_cables(calibrated(kCircle), {770e6, 858e6});
  EXPECT_EQ(f.severity, Severity::ok);
  EXPECT_NEAR(figure(f, "cable_1cm_worst_deg"), 15.61 / (2.5 * 2.517), 0.25);  // second order: 10 %
  EXPECT_NEAR(figure(f, "kink_10deg_worst_deg"), 10.0 / (2.5 * 2.517), 0.16);
  EXPECT_EQ(check_cables(calibrated(array::circular_array(5, 0.04)), {2400e6, 3000e6}).severity,
            Severity::advice);
}

TEST(CalibrationCheck, NoneExpiredAndOutOfRangeAreWarnings) {
  const TimePoint now{std::chrono::hours{500'000}};
  const auto judged = [&](const array::ArrayCalibration& c, Duration max_age) {
    return check_calibration(array::Manifold{kCircle, c}, {}, {770e6, 858e6}, max_age, now);
  };
  array::ArrayCalibration c = calibrated(kCircle).calibration();
  c.date = now - std::chrono::hours{48};
  EXPECT_EQ(judged(c, {}).severity, Severity::ok);
  EXPECT_THAT(judged({}, {}).what, HasSubstr("withheld"));
  EXPECT_EQ(judged({}, {}).severity, Severity::warning);
  EXPECT_THAT(judged(c, std::chrono::hours{24}).what, HasSubstr("older than 1 days"));
  c.low_hz = 700e6;
  c.high_hz = 800e6;
  EXPECT_EQ(judged(c, {}).severity, Severity::warning);
  EXPECT_THAT(judged(c, {}).what, HasSubstr("holds from 700.000 MHz to 800.000 MHz"));
}

}  // namespace
}  // namespace fixwright::agent::check
