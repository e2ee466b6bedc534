/// Mistakes of mounting, told from a transmitter at a known azimuth.

#include "station_agent/array/array_order.hpp"

#include <gtest/gtest.h>

#include "station_agent/array/calibration_watch.hpp"
#include "tests/unit/station_agent/array/array_scene.hpp"

namespace fixwright::agent::array {
namespace {

class Mounted : public testing::Test {
 protected:
  /// The verdict on an array that really is `truth`, by transmitters at these azimuths.
  OrderVerdict verdict_of(const ArrayGeometry& truth, const std::vector<double>& azimuths_deg) {
    std::vector<KnownLook> looks;
    for (const double az_deg : azimuths_deg) {
      // The station's calibration is not exact either: 3 deg rms remain.
      const Manifold real{truth, random_responses(truth.size(), 0.3, 3.0, chance_)};
      looks.push_back({covariance_of(real, {{az_deg, 25.0}}, 200, chance_), az_deg});
    }
    return explain_order(believed_, looks);
  }

  ArrayGeometry circle_ = circular_array(5, 0.4);
  Manifold believed_{circle_, perfect(5)};
  Chance chance_{71};
};

TEST_F(Mounted, ASoundArrayStandsAsConfigured) {
  for (double az_deg = 3.0; az_deg < 360.0; az_deg += 30.0) {
    EXPECT_EQ(verdict_of(circle_, {az_deg}).likeliest.mistake, ArrayMistake::none);
  }
}

TEST_F(Mounted, EverySwapOfTwoElementsIsNamedFromTwoTransmitters) {
  for (int i = 0; i < 5; ++i) {
    for (int j = i + 1; j < 5; ++j) {
      ArrayGeometry truth = circle_;
      std::swap(truth.elements[i], truth.elements[j]);
      const OrderVerdict verdict = verdict_of(truth, {40.0, 155.0});
      EXPECT_EQ(verdict.likeliest.mistake, ArrayMistake::swapped);
      EXPECT_EQ(verdict.likeliest.first, i);
      EXPECT_EQ(verdict.likeliest.second, j);
      EXPECT_EQ(verdict.likeliest.turn_deg, 0.0);
    }
  }
  ArrayGeometry truth = circle_;
  std::swap(truth.elements[1], truth.elements[3]);
  EXPECT_EQ(describe(verdict_of(truth, {40.0, 155.0}).likeliest), "elements 2 and 4 are swapped");
}

TEST_F(Mounted, AnArrayTurnedOnItsMastIsMeasured) {
  ArrayGeometry truth = circle_;
  truth.orientation_deg = -37.0;
  const OrderVerdict verdict = verdict_of(truth, {40.0, 155.0});
  EXPECT_EQ(verdict.likeliest.mistake, ArrayMistake::turned);
  EXPECT_NEAR(verdict.likeliest.turn_deg, -37.0,
              2.0);  // 3 deg of phase make 0.5 deg rms of azimuth
}

TEST_F(Mounted, NumberingTheOtherWayRoundIsTold) {
  ArrayGeometry truth = circle_;
  std::reverse(truth.elements.begin() + 1, truth.elements.end());
  EXPECT_EQ(verdict_of(truth, {40.0, 155.0}).likeliest.mistake, ArrayMistake::reversed);
}

TEST_F(Mounted, OneTransmitterLeavesOtherExplanationsAndTheyAreListed) {
  ArrayGeometry truth = circle_;
  std::reverse(truth.elements.begin() + 1, truth.elements.end());
  const OrderVerdict verdict = verdict_of(truth, {40.0});
  EXPECT_FALSE(verdict.equals.empty());
}

TEST_F(Mounted, NumberingFromAnotherElementIsAShiftOnAnUnevenArray) {
  ArrayGeometry uneven;
  uneven.elements = {
      {0.0, 0.5, 0.0}, {0.45, 0.1, 0.0}, {0.2, -0.4, 0.0}, {-0.3, -0.3, 0.0}, {-0.35, 0.2, 0.0}};
  believed_ = Manifold{uneven, perfect(5)};
  ArrayGeometry truth = uneven;
  std::rotate(truth.elements.begin(), truth.elements.begin() + 2, truth.elements.end());
  const OrderVerdict verdict = verdict_of(truth, {10.0, 100.0, 230.0});
  EXPECT_EQ(verdict.likeliest.mistake, ArrayMistake::shifted);
  EXPECT_EQ(describe(verdict.likeliest), "the elements are numbered from element 3 on");
}

TEST_F(Mounted, WhatNoMistakeExplainsIsUnknown) {
  ArrayGeometry truth = circle_;
  for (auto& p : truth.elements) p = {p.y_m * 1.7 + 0.3 * p.x_m, p.x_m * 0.4, 0.0};
  const OrderVerdict verdict = verdict_of(truth, {40.0, 155.0, 280.0});
  EXPECT_EQ(verdict.likeliest.mistake, ArrayMistake::unknown);
  EXPECT_GT(verdict.likeliest.misfit_deg, 8.0);
}

/// What becomes of bearings round the circle on an array that really is `real`.
struct Consequences {
  int wrong = 0;  // accepted, without a flag, and beyond 3 sigma and 5 deg
  CalibrationState watched = CalibrationState::calibrated;
};

Consequences bearings_of(const Manifold& real, const Manifold& believed, Chance& chance) {
  AzimuthEstimator estimator{believed};
  MisfitWatch watch;
  Consequences all;
  for (int az_deg = 0; az_deg < 360; az_deg += 3) {
    const auto look = covariance_of(real, {{az_deg + 0.0, 20.0}}, 200, chance);
    const Estimate e = estimator.estimate(look);
    const bool one = e.accepted() && e.second == SecondSource::none;
    if (one || e.refusal == EstimateRefusal::poor_fit) watch.add(e.misfit_deg);
    const double off_deg = std::abs(error_deg(e, az_deg));
    all.wrong += one && off_deg > 5.0 && off_deg > 3.0 * e.sigma_deg ? 1 : 0;
  }
  all.watched = watch.state();
  return all;
}

TEST(MisfitWatch, SwappedElementsAreNoticedWithoutAReference) {
  Chance chance{73};
  for (const double radius : {0.25, 0.4}) {
    const Manifold believed{circular_array(5, radius), perfect(5)};
    for (int i = 0; i < 5; ++i) {
      for (int j = i + 1; j < 5; ++j) {
        ArrayGeometry truth = circular_array(5, radius);
        std::swap(truth.elements[i], truth.elements[j]);
        const Consequences all = bearings_of(Manifold{truth, perfect(5)}, believed, chance);
        EXPECT_EQ(all.watched, CalibrationState::drifted) << radius << " " << i << " " << j;
        // Till then most looks are refused already; of 120 some few fit a wrong wave.
        EXPECT_LE(all.wrong, 30) << radius << " " << i << " " << j;
      }
    }
  }
}

TEST(MisfitWatch, ASoundArrayIsLeftInPeace) {
  Chance chance{79};
  for (int i = 0; i < 20; ++i) {
    const Manifold believed{circular_array(5, 0.4), perfect(5)};
    const Manifold real{circular_array(5, 0.4), random_responses(5, 0.3, 3.0, chance)};
    const Consequences all = bearings_of(real, believed, chance);
    EXPECT_EQ(all.watched, CalibrationState::calibrated);
    EXPECT_EQ(all.wrong, 0);
  }
}

}  // namespace
}  // namespace fixwright::agent::array
