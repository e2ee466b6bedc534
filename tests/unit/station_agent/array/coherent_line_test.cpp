/// A reflection on a line of equal steps, against the textbook way there: spatial smoothing,
/// forward and backward, then MUSIC (T.-J. Shan, M. Wax, T. Kailath, IEEE Trans. ASSP-33 (1985)
/// 806; S. U. Pillai, B. H. Kwon, IEEE Trans. ASSP 37 (1989) 8). The estimator needs no smoothing,
/// works on other geometries too, and must be no worse.

#include <gtest/gtest.h>

#include <Eigen/Eigenvalues>
#include <algorithm>

#include "tests/unit/station_agent/array/array_scene.hpp"

namespace fixwright::agent::array {
namespace {

constexpr int kElements = 8;
constexpr int kSubarray = 6;
constexpr double kStep_m = 0.45;

Eigen::MatrixXcd smoothed(const ElementMatrix& r) {
  Eigen::MatrixXcd sum = Eigen::MatrixXcd::Zero(kSubarray, kSubarray);
  for (int at = 0; at + kSubarray <= kElements; ++at) {
    const Eigen::MatrixXcd part = r.block(at, at, kSubarray, kSubarray);
    sum += part + part.conjugate().reverse();
  }
  return sum / (2.0 * (kElements - kSubarray + 1));
}

struct Directions {
  double first_deg = 0.0;
  double second_deg = 0.0;
};

/// The two highest maxima of MUSIC's spectrum in front of the line, by twentieths of a degree.
Directions smoothed_music(const ElementMatrix& r) {
  const Manifold part{linear_array(kSubarray, kStep_m)};
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXcd> solver(smoothed(r));
  const Eigen::MatrixXcd noise = solver.eigenvectors().leftCols(kSubarray - 2);
  const auto left = [&](int step) {
    return (noise.adjoint() * part.steering(0.05 * step, kMetreWave_hz)).squaredNorm();
  };
  std::vector<std::pair<double, double>> minima;
  for (int i = -1799; i < 1800; ++i) {
    const double here = left(i);
    if (here < left(i - 1) && here <= left(i + 1)) minima.emplace_back(here, 0.05 * i);
  }
  std::sort(minima.begin(), minima.end());
  return {minima.at(0).second, minima.at(1).second};
}

/// Sum of the squared errors, of the assignment that fits better.
double squared_error(const Directions& found, double a_deg, double b_deg) {
  const auto sum = [&](double x_deg, double y_deg) {
    return std::pow(wrap_180(found.first_deg - x_deg), 2) +
           std::pow(wrap_180(found.second_deg - y_deg), 2);
  };
  return std::min(sum(a_deg, b_deg), sum(b_deg, a_deg));
}

TEST(CoherentLine, ThePairIsNoWorseThanSmoothedMusic) {
  const Manifold manifold{linear_array(kElements, kStep_m), perfect(kElements)};
  EstimatorRules rules;
  rules.sector_half_width_deg = 90.0;
  AzimuthEstimator estimator{manifold, rules};
  Chance chance{97};
  double own = 0.0;
  double textbook = 0.0;
  constexpr int kTrials = 100;
  for (int i = 0; i < kTrials; ++i) {
    const double a_deg = -40.0 + 50.0 * chance.uniform();
    const double b_deg = a_deg + 30.0;
    const auto look = covariance_of(
        manifold, {{a_deg, 20.0, 0, 0.0}, {b_deg, 18.0, 0, 360.0 * chance.uniform()}}, 200, chance);
    const Estimate e = estimator.estimate(look);
    ASSERT_EQ(e.second, SecondSource::coherent) << word(e.refusal);
    EXPECT_EQ(e.sources, 1);
    own += squared_error({e.azimuth_deg, e.alternatives[0].azimuth_deg}, a_deg, b_deg);
    textbook += squared_error(smoothed_music(look.matrix), a_deg, b_deg);
  }
  EXPECT_LE(own, textbook);
  EXPECT_LE(std::sqrt(own / (2 * kTrials)), 0.1);  // one wave alone: a bound of 0.016 deg
}

}  // namespace
}  // namespace fixwright::agent::array
