/// One source: how far the estimates spread, against what can be known at all, and against what
/// the estimator says of itself.

#include <gtest/gtest.h>

#include "station_agent/array/azimuth_bound.hpp"
#include "tests/unit/station_agent/array/array_scene.hpp"

namespace fixwright::agent::array {
namespace {

struct Spread {
  int accepted = 0;
  double squared_error = 0.0;
  double squared_sigma = 0.0;

  void add(const Estimate& e, double truth_deg) {
    ++accepted;
    squared_error += error_deg(e, truth_deg) * error_deg(e, truth_deg);
    squared_sigma += e.sigma_deg * e.sigma_deg;
  }
  [[nodiscard]] double rmse_deg() const { return std::sqrt(squared_error / accepted); }
  [[nodiscard]] double sigma_ratio() const { return std::sqrt(squared_sigma / squared_error); }
};

Spread noise_alone(double radius, double snr_db, int snapshots) {
  constexpr int kTrials = 1500;
  const Manifold manifold{circular_array(5, radius), perfect(5)};
  EstimatorRules rules;
  rules.floor_deg = 0.0;
  AzimuthEstimator estimator{manifold, rules};
  Chance chance{41};
  Spread spread;
  for (int i = 0; i < kTrials; ++i) {
    const double truth_deg = 360.0 * chance.uniform();
    const auto look = covariance_of(manifold, {{truth_deg, snr_db}}, snapshots, chance);
    const Estimate e = estimator.estimate(look);
    if (e.accepted()) spread.add(e, truth_deg);
  }
  // At 0 dB and 64 snapshots nothing is lost either: the array's gain is 7 dB.
  EXPECT_EQ(spread.accepted, kTrials);
  return spread;
}

// 1 500 draws know a spread to 1 / sqrt(3000) = 1.8 %: the limits stand 3 of these from the values
// found (0.97 to 1.03), so a sound estimator fails one case in a thousand, and the seed is fixed.
TEST(AzimuthEstimator, SpreadsNoMoreThanATenthBeyondTheBound) {
  for (const double radius : {0.2, 0.3, 0.4, 0.5}) {
    for (const double snr_db : {0.0, 10.0, 30.0}) {
      for (const int snapshots : {64, 200}) {
        const Spread spread = noise_alone(radius, snr_db, snapshots);
        const double bound_deg =
            azimuth_bound_deg(Manifold{circular_array(5, radius)}, 0.0, kMetreWave_hz,
                              std::pow(10.0, snr_db / 10.0), snapshots);
        EXPECT_LE(spread.rmse_deg() / bound_deg, 1.10) << radius << " " << snr_db;
        EXPECT_GE(spread.rmse_deg() / bound_deg, 0.93) << "better than possible: a biased test";
        EXPECT_GE(spread.sigma_ratio(), 0.9) << radius << " " << snr_db << " " << snapshots;
        EXPECT_LE(spread.sigma_ratio(), 1.15) << radius << " " << snr_db << " " << snapshots;
      }
    }
  }
}

/// Arrays whose manifold errs after calibration by 2 deg rms an element, and as much in gain.
Spread with_manifold_error(double radius, double snr_db) {
  constexpr double kError_deg = 2.0;
  const double gain_db = 20.0 * std::log10(std::exp(1.0)) * kError_deg * kDegToRad;
  const Manifold believed{circular_array(5, radius), perfect(5)};
  EstimatorRules rules;
  rules.floor_deg = floor_of_error_deg(believed, 0.0, kMetreWave_hz, kError_deg);
  rules.manifold_error_deg = kError_deg;
  AzimuthEstimator estimator{believed, rules};
  Chance chance{43};
  Spread spread;
  for (int i = 0; i < 1500; ++i) {
    const Manifold truth{circular_array(5, radius),
                         random_responses(5, gain_db, kError_deg, chance)};
    const double truth_deg = 360.0 * chance.uniform();
    const Estimate e = estimator.estimate(covariance_of(truth, {{truth_deg, snr_db}}, 100, chance));
    if (e.accepted()) spread.add(e, truth_deg);
  }
  EXPECT_GE(spread.accepted, 1485);
  return spread;
}

TEST(AzimuthEstimator, SigmaWithACalibratedFloorIsTheTrueSpread) {
  for (const double radius : {0.2, 0.35, 0.5}) {
    for (const double snr_db : {0.0, 15.0, 40.0}) {
      const double ratio = with_manifold_error(radius, snr_db).sigma_ratio();
      EXPECT_GE(ratio, 0.9) << radius << " " << snr_db;
      EXPECT_LE(ratio, 1.15) << radius << " " << snr_db;
    }
  }
}

}  // namespace
}  // namespace fixwright::agent::array
