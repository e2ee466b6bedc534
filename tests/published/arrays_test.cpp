/// Arrays: the bound of an azimuth, and what one reflection does to it.

#include <gtest/gtest.h>

#include <cmath>

#include "server/base/angle.hpp"
#include "station_agent/array/azimuth_bound.hpp"
#include "station_agent/array/azimuth_estimator.hpp"
#include "tests/published/table.hpp"

namespace fixwright::agent::array {
namespace {

// A metre is a wavelength here.
constexpr double kFrequency_hz = kSpeedOfLight_m_s;

TEST(AzimuthBound, OfCirclesMeetsThePublishedFormula) {
  for (const published::Row& row : published::table("array_bounds.csv")) {
    const Manifold manifold{
        circular_array(static_cast<int>(row.number("elements")), row.number("radius_wavelengths"))};
    const double snr = std::pow(10.0, row.number("snr_db") / 10.0);
    const auto bound_deg = [&](double azimuth_deg, BoundKind kind) {
      return azimuth_bound_deg(manifold, azimuth_deg, kFrequency_hz, snr, row.number("snapshots"),
                               kind);
    };
    for (const double azimuth_deg : {0.0, 77.0, 203.5}) {
      // The table has 5 decimals.
      EXPECT_NEAR(bound_deg(azimuth_deg, BoundKind::deterministic), row.number("deterministic_deg"),
                  6e-6);
      EXPECT_NEAR(bound_deg(azimuth_deg, BoundKind::stochastic), row.number("stochastic_deg"),
                  6e-6);
    }
  }
}

/// A calibrated circle so small that one reflection can't be told from a turned wave.
class SmallCircle : public testing::Test {
 protected:
  static constexpr double kRadius_m = 0.005;

  double error_deg(double ratio, double angle_deg) {
    const double azimuth_deg = 140.0;
    const ElementVector x =
        1e3 * (manifold_.steering(azimuth_deg, kFrequency_hz) +
               ratio * manifold_.steering(azimuth_deg + angle_deg, kFrequency_hz));
    const ElementMatrix noise = ElementMatrix::Identity(5, 5);
    const Estimate e =
        estimator_.estimate({x * x.adjoint() + noise, 1e6, ElementReals::Ones(5), kFrequency_hz});
    EXPECT_TRUE(e.accepted()) << word(e.refusal);
    EXPECT_EQ(e.second, SecondSource::none);
    return wrap_180(e.azimuth_deg - azimuth_deg);
  }

  static ArrayCalibration measured() {
    ArrayCalibration c;
    c.method = CalibrationMethod::common_reference;
    c.elements.resize(5);
    return c;
  }

  Manifold manifold_{circular_array(5, kRadius_m), measured()};
  AzimuthEstimator estimator_{manifold_};
};

TEST_F(SmallCircle, OneReflectionTurnsTheAzimuthAsTheFormulaSays) {
  for (const published::Row& row : published::table("two_ray_errors.csv")) {
    const double ratio = row.number("ratio");
    const double angle_deg = row.number("angle_deg");
    // The circle has a size: (2 pi R / lambda)^2 = 1e-3 of the value, at most.
    EXPECT_NEAR(error_deg(ratio, angle_deg), row.number("in_phase_deg"), 0.03);
    EXPECT_NEAR(error_deg(-ratio, angle_deg), row.number("counter_phase_deg"), 0.03);
  }
}

}  // namespace
}  // namespace fixwright::agent::array
