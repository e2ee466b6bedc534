/// Geometry, sign conventions and the correction table.

#include "station_agent/array/manifold.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <sstream>

#include "tests/unit/station_agent/array/array_scene.hpp"

namespace fixwright::agent::array {
namespace {

double phase_deg(Complex c) { return std::arg(c) * kRadToDeg; }

TEST(ManifoldConvention, AnElementNearerToTheTransmitterIsAhead) {
  ArrayGeometry geometry;
  geometry.elements = {{0.0, 0.0, 0.0}, {0.0, 0.25, 0.0}, {0.25, 0.0, 0.0}};
  const ElementVector north = Manifold{geometry}.steering(0.0, kMetreWave_hz);
  EXPECT_NEAR(phase_deg(north[1]), 90.0, 1e-9);
  EXPECT_NEAR(phase_deg(north[2]), 0.0, 1e-9);
  const ElementVector east = Manifold{geometry}.steering(90.0, kMetreWave_hz);
  EXPECT_NEAR(phase_deg(east[1]), 0.0, 1e-9);
  EXPECT_NEAR(phase_deg(east[2]), 90.0, 1e-9);
}

TEST(ManifoldConvention, OrientationTurnsForwardTowardsEast) {
  ArrayGeometry geometry;
  geometry.elements = {{0.0, 0.0, 0.0}, {0.0, 0.25, 0.0}};
  geometry.orientation_deg = 90.0;
  EXPECT_NEAR(phase_deg(Manifold{geometry}.steering(90.0, kMetreWave_hz)[1]), 90.0, 1e-9);
}

TEST(ManifoldConvention, ALongerCableIsLaterByItsDelay) {
  ArrayCalibration cables;
  cables.elements = {{}, {-6.0, 10.0, 1e-9}};
  const Manifold manifold{linear_array(2, 0.5), cables};
  const ElementVector a = manifold.steering(0.0, 100e6);
  EXPECT_NEAR(phase_deg(a[1] / a[0]), 10.0 - 36.0, 1e-9);
  EXPECT_NEAR(std::abs(a[1]), 0.501187, 1e-6);  // -6 dB
}

TEST(ManifoldConvention, AWaveFromAboveShrinksTheArray) {
  ArrayGeometry geometry;
  geometry.elements = {{0.0, 0.0, 0.0}, {0.0, 0.25, 0.0}, {0.0, 0.1, 0.25}};
  const ElementVector a = Manifold{geometry}.steering(0.0, kMetreWave_hz, 60.0);
  EXPECT_NEAR(phase_deg(a[1]), 45.0, 1e-9);
  EXPECT_NEAR(phase_deg(a[2]), 18.0 + 77.9423, 1e-3);
}

TEST(Geometry, CircleIsNumberedClockwiseFromForward) {
  const ArrayGeometry circle = circular_array(4, 2.0);
  EXPECT_NEAR(circle.elements[0].y_m, 2.0, 1e-12);
  EXPECT_NEAR(circle.elements[1].x_m, 2.0, 1e-12);
  EXPECT_NEAR(aperture_m(circle), 4.0, 1e-12);
  EXPECT_FALSE(is_linear(circle));
  EXPECT_EQ(uniform_spacing_m(circle), 0.0);
  const ArrayGeometry line = linear_array(6, 0.3);
  EXPECT_TRUE(is_linear(line));
  EXPECT_NEAR(uniform_spacing_m(line), 0.3, 1e-12);
}

TEST(Geometry, WhatIsNoArrayIsToldInOneLine) {
  EXPECT_EQ(geometry_problem(circular_array(5, 0.3)), "");
  EXPECT_EQ(geometry_problem(circular_array(1, 0.3)), "1 elements: must be 2 to 16");
  EXPECT_EQ(geometry_problem(circular_array(17, 0.3)), "17 elements: must be 2 to 16");
  ArrayGeometry twice = linear_array(3, 0.3);
  twice.elements[2] = twice.elements[0];
  twice.elements[2].z_m = 1.0;  // above each other: alike for every azimuth
  EXPECT_EQ(geometry_problem(twice),
            "elements 1 and 3 are 0 m apart in the horizontal: must be 0.001 or more");
  ArrayGeometry far = linear_array(3, 0.3);
  far.elements[1].x_m = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NE(geometry_problem(far), "");
  ArrayGeometry lost = linear_array(3, 0.3);
  lost.orientation_deg = std::numeric_limits<double>::infinity();
  EXPECT_NE(geometry_problem(lost), "");
}

/// Coupling as a table: factors that vary with azimuth like a mast's shadow.
ManifoldTable coupling_table() {
  std::vector<double> azimuths_deg;
  std::vector<ElementVector> factors;
  for (int az = 0; az < 360; az += 10) {
    azimuths_deg.push_back(az);
    ElementVector factor(5);
    for (int e = 0; e < 5; ++e) {
      factor[e] = 1.0 + 0.2 * std::polar(1.0, 2.0 * std::sin(az * kDegToRad + e * e));
    }
    factors.push_back(factor);
  }
  std::vector<ElementVector> both = factors;
  for (const ElementVector& f : factors) both.push_back(2.0 * f);
  return {azimuths_deg, {100e6, 200e6}, both};
}

TEST(ManifoldTable, InterpolatesInAzimuthRoundTheCircleAndInFrequency) {
  const ManifoldTable table = coupling_table();
  const ElementVector at_350 = table.factor(350.0, 100e6);
  const ElementVector at_0 = table.factor(360.0, 100e6);
  EXPECT_NEAR(std::abs(table.factor(357.5, 100e6)[2] - (0.25 * at_350[2] + 0.75 * at_0[2])), 0.0,
              1e-12);
  EXPECT_NEAR(std::abs(table.factor(20.0, 150e6)[1] - 1.5 * table.factor(20.0, 100e6)[1]), 0.0,
              1e-12);
  EXPECT_NEAR(std::abs(table.factor(20.0, 1e9)[1] - table.factor(20.0, 200e6)[1]), 0.0, 1e-12);
  EXPECT_NEAR(std::abs(table.factor(20.0, 1e6)[1] - table.factor(20.0, 100e6)[1]), 0.0, 1e-12);
}

TEST(ManifoldTable, BearingsOfACoupledArrayNeedIt) {
  const Manifold truth{circular_array(5, 0.7), {}, coupling_table()};
  const double f = 150e6;
  AzimuthEstimator with_table{truth};
  AzimuthEstimator without{Manifold{circular_array(5, 0.7), perfect(5)}};
  Chance chance{81};
  double worst_with_deg = 0.0;
  double worst_without_deg = 0.0;
  for (double az_deg = 1.0; az_deg < 360.0; az_deg += 13.0) {
    const auto look = covariance_of(truth, {{az_deg, 40.0}}, 300, chance, f);
    const auto worst = [&](AzimuthEstimator& estimator, double so_far_deg) {
      return std::max(so_far_deg, std::abs(error_deg(estimator.estimate(look), az_deg)));
    };
    worst_with_deg = worst(with_table, worst_with_deg);
    worst_without_deg = worst(without, worst_without_deg);
  }
  EXPECT_LT(worst_with_deg, 0.05);  // 5 times the bound
  EXPECT_GT(worst_without_deg, 1.0);
}

TEST(ManifoldTable, ReadsBackItsOwnCsv) {
  const ManifoldTable table = coupling_table();
  std::istringstream in{table.csv()};
  const auto back = ManifoldTable::read(in, "table.csv", 5);
  ASSERT_TRUE(back.ok()) << back.error();
  for (const double az_deg : {0.0, 33.0, 359.0}) {
    const ElementVector gone = back->factor(az_deg, 130e6) - table.factor(az_deg, 130e6);
    EXPECT_LT(gone.norm(), 1e-12);
  }
}

TEST(ManifoldTable, OneBadRowIsOneLine) {
  const std::string header = "frequency_hz,azimuth_deg,element,gain_db,phase_deg\n";
  const auto message = [&](const std::string& rows) {
    std::istringstream in{header + rows};
    const auto table = ManifoldTable::read(in, "t.csv", 2);
    return table.ok() ? std::string{"read"} : table.error();
  };
  EXPECT_EQ(message("1e8,0,1,0,0\n1e8,0,2,0,0\n"), "read");
  EXPECT_EQ(message("1e8,360,1,0,0\n"), "t.csv:2: azimuth_deg = 360: must be 0 to under 360");
  EXPECT_EQ(message("1e8,0,3,0,0\n"), "t.csv:2: element = 3: must be a whole number, 1 to 2");
  EXPECT_EQ(message("1e8,0,1,x,0\n"), "t.csv:2: gain_db: must be a number");
  EXPECT_EQ(message("1e8,0,1,0,0\n1e8,0,1,0,0\n"),
            "t.csv:3: this element was given at this place already");
  EXPECT_EQ(message("1e8,0,1,0,0\n"),
            "t.csv: incomplete at 100000000 Hz, 0 deg: every azimuth must be there at every "
            "frequency for every element");
  EXPECT_EQ(message(""), "t.csv: has no rows");
}

}  // namespace
}  // namespace fixwright::agent::array
