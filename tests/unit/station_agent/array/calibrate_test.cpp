/// Measuring the elements' responses, and what bearings are worth afterwards.

#include "station_agent/array/calibrate.hpp"

#include <gtest/gtest.h>

#include <iostream>

#include "station_agent/array/azimuth_bound.hpp"
#include "station_agent/array/calibration_watch.hpp"
#include "station_agent/array/response_fit.hpp"
#include "tests/unit/station_agent/array/array_scene.hpp"

namespace fixwright::agent::array {
namespace {

constexpr double kMhz = 1e6;

/// Five receivers with errors of 1 dB and 10 deg rms and cables that differ by 2 ns (0.4 m) rms.
ArrayCalibration faulty_receivers(Chance& chance) {
  ArrayCalibration c = random_responses(5, 1.0, 10.0, chance);
  c.reference_hz = 430.0 * kMhz;
  for (ElementResponse& e : c.elements) e.delay_s = 2e-9 * chance.normal();
  return c;
}

/// One signal into all receivers: an array without extent.
SpatialCovariance reference_look(const ArrayCalibration& truth, double frequency_hz, double snr_db,
                                 Chance& chance) {
  ArrayGeometry point;
  for (int e = 0; e < 5; ++e) point.elements.push_back({1e-3 * e, 0.0, 0.0});
  // Broadside of a line: all elements in phase.
  return covariance_of(Manifold{point, truth}, {{0.0, snr_db}}, 1000, chance, frequency_hz);
}

double phase_error_deg(const ArrayCalibration& measured, const ArrayCalibration& truth, int element,
                       double frequency_hz) {
  const Complex m = measured.response(element, frequency_hz) / measured.response(0, frequency_hz);
  const Complex t = truth.response(element, frequency_hz) / truth.response(0, frequency_hz);
  return std::arg(m / t) * kRadToDeg;
}

TEST(Calibrate, CommonReferenceAtSeveralFrequenciesGivesGainPhaseAndDelay) {
  Chance chance{11};
  const ArrayCalibration truth = faulty_receivers(chance);
  std::vector<ReferenceLook> looks;
  for (const double f : {400.0 * kMhz, 410.0 * kMhz, 440.0 * kMhz, 470.0 * kMhz}) {
    looks.push_back({reference_look(truth, f, 30.0, chance), std::nullopt});
  }
  const CalibrationResult result = calibrate(circular_array(5, 0.28), looks, {});
  ASSERT_EQ(result.problem, CalibrationProblem::none) << word(result.problem);
  const ArrayCalibration& c = result.calibration;
  EXPECT_EQ(c.method, CalibrationMethod::common_reference);
  for (int e = 0; e < 5; ++e) {
    // Noise: 1/sqrt(2 * 1000 snapshots * 1000) rad = 0.04 deg a phase; over 70 MHz that is 3 ps.
    EXPECT_NEAR(c.elements[e].delay_s - c.elements[0].delay_s,
                truth.elements[e].delay_s - truth.elements[0].delay_s, 15e-12);
    EXPECT_NEAR(c.elements[e].gain_db - c.elements[0].gain_db,
                truth.elements[e].gain_db - truth.elements[0].gain_db, 0.03);
    for (const double f : {400.0 * kMhz, 425.0 * kMhz, 470.0 * kMhz}) {
      EXPECT_NEAR(phase_error_deg(c, truth, e, f), 0.0, 0.2);
    }
  }
  EXPECT_LT(c.residual_deg, 0.1);
  EXPECT_GT(c.residual_deg, 0.01);
  EXPECT_LT(c.low_hz, 400.0 * kMhz);
  EXPECT_GT(c.high_hz, 470.0 * kMhz);
}

TEST(Calibrate, TransmitterAtAKnownAzimuthGivesTheSameAsAReference) {
  Chance chance{13};
  const ArrayCalibration truth = faulty_receivers(chance);
  ArrayGeometry geometry = circular_array(5, 0.28);
  geometry.orientation_deg = 17.0;
  const double f = 433.0 * kMhz;
  const auto look = covariance_of(Manifold{geometry, truth}, {{250.0, 30.0}}, 1000, chance, f);
  const CalibrationResult result = calibrate(geometry, {{look, 250.0}}, {});
  ASSERT_EQ(result.problem, CalibrationProblem::none);
  EXPECT_EQ(result.calibration.method, CalibrationMethod::known_transmitter);
  for (int e = 0; e < 5; ++e) {
    EXPECT_NEAR(phase_error_deg(result.calibration, truth, e, f), 0.0, 0.2);
    EXPECT_EQ(result.calibration.elements[e].delay_s, 0.0);
  }
}

TEST(Calibrate, TheReferencesOwnLegsAreTakenOut) {
  Chance chance{17};
  const ArrayCalibration truth = faulty_receivers(chance);
  const double f = 433.0 * kMhz;
  CalibrationPlan plan;
  plan.reference_legs.elements.resize(5);
  plan.reference_legs.elements[2] = {-3.0, 40.0, 0.0};
  SpatialCovariance look = reference_look(truth, f, 30.0, chance);
  const Complex leg = plan.reference_legs.response(2, f);
  look.matrix.row(2) *= leg;
  look.matrix.col(2) *= std::conj(leg);
  const CalibrationResult result = calibrate(circular_array(5, 0.28), {{look, std::nullopt}}, plan);
  ASSERT_EQ(result.problem, CalibrationProblem::none);
  for (int e = 0; e < 5; ++e) {
    EXPECT_NEAR(phase_error_deg(result.calibration, truth, e, f), 0.0, 0.2);
  }
}

TEST(Calibrate, WhatIsWrongWithAReferenceIsNamed) {
  Chance chance{19};
  const ArrayCalibration truth = perfect(5);
  const ArrayGeometry circle = circular_array(5, 0.28);
  const double f = 433.0 * kMhz;
  const SpatialCovariance good = reference_look(truth, f, 30.0, chance);
  const auto verdict = [&](const SpatialCovariance& look) {
    return calibrate(circle, {{good, std::nullopt}, {look, std::nullopt}}, {});
  };
  EXPECT_EQ(calibrate(circle, {}, {}).problem, CalibrationProblem::no_looks);

  SpatialCovariance dead = good;
  dead.matrix.row(3).setZero();
  dead.matrix.col(3).setZero();
  EXPECT_EQ(verdict(dead).problem, CalibrationProblem::dead_element);
  EXPECT_EQ(verdict(dead).element, 3);
  EXPECT_EQ(verdict(dead).look, 1);

  SpatialCovariance loose = good;
  for (int e = 0; e < 5; ++e) {
    if (e == 1) continue;
    loose.matrix(e, 1) *= 0.3;
    loose.matrix(1, e) *= 0.3;
  }
  EXPECT_EQ(verdict(loose).problem, CalibrationProblem::incoherent_element);
  EXPECT_EQ(verdict(loose).element, 1);

  EXPECT_EQ(verdict(reference_look(truth, f, 3.0, chance)).problem,
            CalibrationProblem::weak_signal);
  const auto two =
      covariance_of(Manifold{circle, truth}, {{10.0, 30.0, 0}, {100.0, 25.0, 1}}, 500, chance, f);
  EXPECT_EQ(verdict(two).problem, CalibrationProblem::several_sources);
  SpatialCovariance short_look = good;
  short_look.snapshots = 4.0;
  EXPECT_EQ(verdict(short_look).problem, CalibrationProblem::bad_look);

  // The second look's phases belong to no gain, phase and delay that the first allows.
  ArrayCalibration moved = perfect(5);
  moved.elements[1].phase_deg = 120.0;
  EXPECT_EQ(verdict(reference_look(moved, f, 30.0, chance)).problem, CalibrationProblem::poor_fit);
}

// The share of drift below is one receiver; the elements' common phase moves with it by a fifth.
TEST(CalibrationWatch, DriftNamesTheElement) {
  Chance chance{23};
  const ArrayCalibration stored = faulty_receivers(chance);
  ArrayCalibration fresh = stored;
  EXPECT_EQ(compare(stored, fresh, {}).state, CalibrationState::calibrated);
  fresh.elements[3].phase_deg += 20.0;
  const CalibrationDrift drift = compare(stored, fresh, {});
  EXPECT_EQ(drift.state, CalibrationState::drifted);
  EXPECT_EQ(drift.element, 3);
  EXPECT_NEAR(drift.phase_deg, 16.0, 0.5);

  fresh = stored;
  fresh.elements[0].gain_db -= 3.0;
  EXPECT_EQ(compare(stored, fresh, {}).state, CalibrationState::drifted);
  EXPECT_EQ(compare(stored, fresh, {}).element, 0);
  EXPECT_NEAR(compare(stored, fresh, {}).gain_db, 2.4, 1e-9);

  fresh = stored;
  for (ElementResponse& e : fresh.elements) e.phase_deg += 77.0;  // no one sees a common phase
  EXPECT_EQ(compare(stored, fresh, {}).state, CalibrationState::calibrated);
  fresh.elements.pop_back();
  EXPECT_EQ(compare(stored, fresh, {}).state, CalibrationState::uncalibrated);
}

TEST(CalibrationWatch, AgeAndTemperatureEndACalibration) {
  ArrayCalibration stored = perfect(5);
  stored.date = parse_rfc3339("2031-05-04T10:00:00Z").value();
  stored.temperature_c = 10.0;
  const CalibrationLimits limits;
  const TimePoint later = stored.date + std::chrono::hours{24};
  EXPECT_EQ(state_at(stored, later, 12.0, limits), CalibrationState::calibrated);
  EXPECT_EQ(state_at(stored, later, std::nullopt, limits), CalibrationState::calibrated);
  EXPECT_EQ(state_at(stored, later, 31.0, limits), CalibrationState::temperature_change);
  EXPECT_EQ(state_at(stored, stored.date + std::chrono::hours{24 * 31}, 10.0, limits),
            CalibrationState::expired);
  EXPECT_EQ(state_at(stored, stored.date - std::chrono::seconds{1}, 10.0, limits),
            CalibrationState::expired);
  EXPECT_EQ(state_at({}, later, 10.0, limits), CalibrationState::uncalibrated);
}

struct Rmse {
  double before_deg = 0.0;
  double after_deg = 0.0;
};

/// Receivers with 1 dB and 10 deg rms errors, before and after a common reference.
Rmse rmse_of_calibrated_arrays(double snr_db, int snapshots) {
  const ArrayGeometry circle = circular_array(5, 0.4);
  const Manifold ideal{circle, perfect(5)};
  EstimatorRules rules;
  Chance chance{29};
  constexpr int kArrays = 400;
  constexpr int kLooks = 4;
  Rmse sum;
  for (int i = 0; i < kArrays; ++i) {
    const ArrayCalibration truth = random_responses(5, 1.0, 10.0, chance);
    const auto reference = reference_look(truth, kMetreWave_hz, 40.0, chance);
    const auto measured = calibrate(circle, {{reference, std::nullopt}}, {});
    EXPECT_EQ(measured.problem, CalibrationProblem::none);
    AzimuthEstimator after{Manifold{circle, measured.calibration}, rules};
    AzimuthEstimator before{ideal, rules};
    for (int k = 0; k < kLooks; ++k) {
      const double az_deg = 360.0 * chance.uniform();
      const auto look =
          covariance_of(Manifold{circle, truth}, {{az_deg, snr_db}}, snapshots, chance);
      const Estimate good = after.estimate(look);
      EXPECT_TRUE(good.accepted()) << word(good.refusal);
      sum.after_deg += std::pow(error_deg(good, az_deg), 2) / (kArrays * kLooks);
      sum.before_deg += std::pow(error_deg(before.estimate(look), az_deg), 2) / (kArrays * kLooks);
    }
  }
  return {std::sqrt(sum.before_deg), std::sqrt(sum.after_deg)};
}

// 1 600 draws know an rmse to 1.8 %; found were 1.003 to 1.006 of the bound.
TEST(Calibrate, AfterwardsBearingsSpreadNoMoreThanTheBoundAndAFewPercent) {
  for (const double snr_db : {0.0, 10.0, 20.0}) {
    const Rmse rmse = rmse_of_calibrated_arrays(snr_db, 100);
    const double bound_deg = azimuth_bound_deg(Manifold{circular_array(5, 0.4)}, 0.0, kMetreWave_hz,
                                               std::pow(10.0, snr_db / 10.0), 100);
    std::cout << snr_db << " dB: RMSE / bound " << rmse.after_deg / bound_deg << '\n';
    EXPECT_LE(rmse.after_deg / bound_deg, 1.15) << snr_db;
    EXPECT_GE(rmse.before_deg, 1.5) << "10 deg of phase error must show before";
  }
}

TEST(DelayOf, TheSmallestOfEquallyGoodDelaysIsTaken) {
  // Equal steps of 10 MHz repeat delays every 100 ns.
  std::vector<PhaseAt> phases;
  for (int i = 0; i < 4; ++i) {
    const double f = 10e6 * i;
    phases.push_back({f, -2.0 * std::numbers::pi * f * 30e-9});
  }
  EXPECT_NEAR(delay_of(phases, 50e-9), 30e-9, 1e-13);
  EXPECT_NEAR(delay_of(phases, 1e-6), 30e-9, 1e-13);
  EXPECT_EQ(delay_of({{433e6, 1.0}}, 1e-6), 0.0);
}

}  // namespace
}  // namespace fixwright::agent::array
