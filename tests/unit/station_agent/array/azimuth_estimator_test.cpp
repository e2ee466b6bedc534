/// What the estimator accepts, refuses and flags.

#include <gtest/gtest.h>

#include <limits>

#include "tests/unit/station_agent/array/array_scene.hpp"

namespace fixwright::agent::array {
namespace {

class Circle : public testing::Test {
 protected:
  SpatialCovariance look(double azimuth_deg, double snr_db = 20.0) {
    return covariance_of(manifold_, {{azimuth_deg, snr_db}}, 200, chance_);
  }
  EstimateRefusal refusal_of(const SpatialCovariance& look) {
    return estimator_.estimate(look).refusal;
  }

  Manifold manifold_{circular_array(5, 0.4), perfect(5)};
  AzimuthEstimator estimator_{manifold_};
  Chance chance_{3};
};

TEST_F(Circle, AzimuthIsClockwiseFromNorthWithTheOrientationAdded) {
  ArrayGeometry turned = circular_array(5, 0.4);
  turned.orientation_deg = 30.0;
  AzimuthEstimator estimator{Manifold{turned, perfect(5)}};
  // A wave from forward of the unturned array is one from 30 deg of the turned one.
  const Estimate straight = estimator_.estimate(look(90.0, 40.0));
  const Estimate shifted = estimator.estimate(look(90.0, 40.0));
  EXPECT_NEAR(straight.azimuth_deg, 90.0, 0.2);  // the bound is 0.01 deg
  EXPECT_NEAR(shifted.azimuth_deg, 120.0, 0.2);
}

TEST_F(Circle, EveryAzimuthOfTheCircleIsFoundOffTheGrid) {
  for (double truth_deg = 0.25; truth_deg < 360.0; truth_deg += 7.31) {
    const Estimate e = estimator_.estimate(look(truth_deg, 50.0));
    ASSERT_TRUE(e.accepted()) << word(e.refusal);
    EXPECT_NEAR(error_deg(e, truth_deg), 0.0, 0.02);  // 7 times the bound, 0.0023 deg
    EXPECT_EQ(e.alternative_count, 0);
  }
}

TEST_F(Circle, SnrIsPerElement) {
  EXPECT_NEAR(estimator_.estimate(look(10.0, 12.0)).snr_db, 12.0, 1.0);  // 3 sigma: 0.9 dB
}

TEST_F(Circle, MalformedLooksAreRefusedByTheirOwnWord) {
  const SpatialCovariance good = look(10.0);
  SpatialCovariance bad = good;
  bad.matrix = ElementMatrix::Identity(4, 4);
  EXPECT_EQ(refusal_of(bad), EstimateRefusal::wrong_shape);
  bad = good;
  bad.matrix(1, 2) = {std::numeric_limits<double>::quiet_NaN(), 0.0};
  EXPECT_EQ(refusal_of(bad), EstimateRefusal::bad_covariance);
  bad = good;
  bad.matrix(1, 2) *= 2.0;
  EXPECT_EQ(refusal_of(bad), EstimateRefusal::bad_covariance);
  bad = good;
  bad.matrix.setZero();
  EXPECT_EQ(refusal_of(bad), EstimateRefusal::bad_covariance);
  bad = good;
  bad.frequency_hz = 0.0;
  EXPECT_EQ(refusal_of(bad), EstimateRefusal::bad_covariance);
  bad = good;
  bad.noise_power[3] = 0.0;
  EXPECT_EQ(refusal_of(bad), EstimateRefusal::bad_noise_power);
  bad = good;
  bad.snapshots = 7.0;
  EXPECT_EQ(refusal_of(bad), EstimateRefusal::too_few_snapshots);
}

TEST_F(Circle, NoiseAloneIsNoSignal) {
  int refused = 0;
  for (int i = 0; i < 100; ++i) {
    const auto noise = covariance_of(manifold_, {}, 200, chance_);
    if (refusal_of(noise) == EstimateRefusal::no_signal) ++refused;
  }
  EXPECT_GE(refused, 97);  // the eigenvalues' test errs in under 1 %
}

TEST_F(Circle, UnequalNoiseThatIsToldDoesNoHarm) {
  SpatialCovariance unequal = look(77.0, 20.0);
  const double factors[] = {1.0, 4.0, 0.3, 2.0, 1.0};
  // Gains behind the noise: signal and noise scale alike, and so does the calibration.
  ArrayCalibration gains = perfect(5);
  for (int e = 0; e < 5; ++e) {
    gains.elements[e].gain_db = 10.0 * std::log10(factors[e]);
    unequal.noise_power[e] = factors[e];
    unequal.matrix.row(e) *= std::sqrt(factors[e]);
    unequal.matrix.col(e) *= std::sqrt(factors[e]);
  }
  AzimuthEstimator estimator{Manifold{circular_array(5, 0.4), gains}};
  const Estimate e = estimator.estimate(unequal);
  ASSERT_TRUE(e.accepted()) << word(e.refusal);
  EXPECT_NEAR(e.azimuth_deg, 77.0, 0.3);  // 4 times the bound
  EXPECT_NEAR(e.snr_db, 20.0, 1.0);
}

TEST_F(Circle, DeadElementIsNamed) {
  for (int dead = 0; dead < 5; ++dead) {
    SpatialCovariance silent = look(123.0);
    silent.matrix.row(dead).setZero();
    silent.matrix.col(dead).setZero();
    EXPECT_EQ(estimator_.estimate(silent).element, dead);
    silent.matrix(dead, dead) = 1.0;  // its own noise, and nothing of the wave
    const Estimate e = estimator_.estimate(silent);
    EXPECT_EQ(e.refusal, EstimateRefusal::dead_element);
    EXPECT_EQ(e.element, dead);
  }
}

TEST_F(Circle, AnElementInTheNullOfAReflectionIsNotDead) {
  // In counter-phase at one element, nine tenths as strong: 20 dB less there.
  for (double phase_deg = 0.0; phase_deg < 360.0; phase_deg += 7.0) {
    const auto null =
        covariance_of(manifold_, {{40.0, 20.0, 0, 0.0}, {130.0, 19.1, 0, phase_deg}}, 200, chance_);
    EXPECT_NE(estimator_.estimate(null).refusal, EstimateRefusal::dead_element) << phase_deg;
  }
}

TEST_F(Circle, ElementWithoutCommonPhaseIsNamed) {
  for (int lost = 0; lost < 5; ++lost) {
    SpatialCovariance loose = look(222.0);
    for (int e = 0; e < 5; ++e) {
      if (e == lost) continue;
      // A phase that wanders over the interval leaves a tenth of the coherence.
      loose.matrix(e, lost) *= 0.1;
      loose.matrix(lost, e) *= 0.1;
    }
    const Estimate e = estimator_.estimate(loose);
    EXPECT_EQ(e.refusal, EstimateRefusal::incoherent_element) << lost;
    EXPECT_EQ(e.element, lost);
  }
}

TEST_F(Circle, UncalibratedArraysGiveNothingUnlessAllowedAndThenAreFlagged) {
  const Manifold bare{circular_array(5, 0.4)};
  AzimuthEstimator strict{bare};
  const Estimate none = strict.estimate(look(50.0));
  EXPECT_EQ(none.refusal, EstimateRefusal::uncalibrated);
  EXPECT_EQ(none.calibration, CalibrationState::uncalibrated);

  EstimatorRules rules;
  rules.allow_uncalibrated = true;
  AzimuthEstimator lenient{bare, rules};
  const Estimate flagged = lenient.estimate(look(50.0));
  ASSERT_TRUE(flagged.accepted());
  EXPECT_EQ(flagged.calibration, CalibrationState::uncalibrated);
  EXPECT_GE(flagged.sigma_deg, rules.uncalibrated_floor_deg);
}

TEST_F(Circle, DriftAndLostCoherenceWithholdEvenWhereUncalibratedIsAllowed) {
  EstimatorRules rules;
  rules.allow_uncalibrated = true;
  AzimuthEstimator estimator{manifold_, rules};
  for (const auto state : {CalibrationState::drifted, CalibrationState::incoherent}) {
    estimator.set_calibration_state(state);
    const Estimate e = estimator.estimate(look(50.0));
    EXPECT_EQ(e.refusal, EstimateRefusal::uncalibrated);
    EXPECT_EQ(e.calibration, state);
  }
  estimator.set_calibration_state(CalibrationState::expired);
  const Estimate e = estimator.estimate(look(50.0));
  ASSERT_TRUE(e.accepted());
  EXPECT_EQ(e.calibration, CalibrationState::expired);
}

TEST_F(Circle, OutsideTheCalibratedFrequenciesTheArrayIsUncalibrated) {
  ArrayCalibration narrow = perfect(5);
  narrow.low_hz = 1e6;
  narrow.high_hz = 2e6;
  AzimuthEstimator estimator{Manifold{circular_array(5, 0.4), narrow}};
  EXPECT_EQ(estimator.estimate(look(50.0)).refusal, EstimateRefusal::uncalibrated);
}

TEST(Line, FrontAndBackWeighTheSameUnlessASectorIsGiven) {
  const Manifold manifold{linear_array(6, 0.5), perfect(6)};
  Chance chance{5};
  const auto look = covariance_of(manifold, {{25.0, 15.0}}, 200, chance);
  AzimuthEstimator both{manifold};
  const Estimate e = both.estimate(look);
  ASSERT_TRUE(e.accepted()) << word(e.refusal);
  EXPECT_TRUE(e.ambiguous);
  ASSERT_EQ(e.alternative_count, 1);
  EXPECT_NEAR(e.weight, 0.5, 1e-3);
  EXPECT_NEAR(wrap_360(e.azimuth_deg + e.alternatives[0].azimuth_deg), 180.0, 0.1);

  EstimatorRules rules;
  rules.sector_half_width_deg = 90.0;
  AzimuthEstimator front{manifold, rules};
  const Estimate single = front.estimate(look);
  EXPECT_FALSE(single.ambiguous);
  EXPECT_NEAR(single.azimuth_deg, 25.0, 1.0);  // 4 times the bound
}

TEST(WideCircle, WeightsAreTheChancesThatTheAzimuthIsNotASidelobe) {
  // Five elements 1.18 wavelengths apart: the best sidelobe nearly equals the main lobe.
  const Manifold manifold{circular_array(5, 1.0), perfect(5)};
  AzimuthEstimator estimator{manifold};
  Chance chance{6};
  int wrong = 0;
  int unflagged = 0;
  double expected_wrong = 0.0;
  for (int i = 0; i < 3000; ++i) {
    const double truth_deg = 360.0 * chance.uniform();
    const Estimate e = estimator.estimate(covariance_of(manifold, {{truth_deg, -5.0}}, 30, chance));
    if (!e.accepted()) continue;
    expected_wrong += 1.0 - e.weight;
    if (std::abs(error_deg(e, truth_deg)) < 20.0) continue;
    ++wrong;
    if (!e.ambiguous) ++unflagged;
  }
  // Some 50 are wrong, so their number is known to 14 %: the limits are 3 of these wide.
  EXPECT_GE(wrong, 25);
  EXPECT_NEAR(wrong / expected_wrong, 1.0, 0.42);
  // A flag is raised from a weight of 5 % on: some of the wrong ones stay below it.
  EXPECT_LE(unflagged, wrong / 5);
}

}  // namespace
}  // namespace fixwright::agent::array
