#include "station_agent/array/look_fault.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <array>
#include <cmath>

#include "station_agent/array/subspace.hpp"

namespace fixwright::agent::array {

namespace {

constexpr double kSilent = 0.1;
constexpr double kDeadShare = 0.03;
constexpr double kEnoughSignal = 5.0;  // 7 dB
// Independent noises are this coherent, times 1 / snapshots, once in exp(12) pairs.
constexpr double kChanceCoherence = 12.0;
constexpr double kLeftOver = 0.05;

double median(const ElementReals& values) {
  std::array<double, kMaxElements> sorted{};
  const auto end = std::copy(values.begin(), values.end(), sorted.begin());
  std::sort(sorted.begin(), end);
  return sorted[values.size() / 2];
}

/// The largest squared coherence of an element with any other.
double shared(const ElementMatrix& r, int element) {
  double largest = 0.0;
  for (int j = 0; j < r.rows(); ++j) {
    if (j == element) continue;
    const double powers = r(element, element).real() * r(j, j).real();
    largest = std::max(largest, std::norm(r(element, j)) / powers);
  }
  return largest;
}

ElementMatrix without(const ElementMatrix& r, int element) {
  const auto n = r.rows();
  ElementMatrix left(n - 1, n - 1);
  for (int i = 0; i < n - 1; ++i) {
    for (int j = 0; j < n - 1; ++j) {
      left(i, j) = r(i + (i >= element ? 1 : 0), j + (j >= element ? 1 : 0));
    }
  }
  return left;
}

ElementReals eigenvalues(const ElementMatrix& r) {
  return Eigen::SelfAdjointEigenSolver<ElementMatrix>(r, Eigen::EigenvaluesOnly).eigenvalues();
}

/// What the second eigenvalue has above the smallest ones' mean.
double second_above_noise(const ElementReals& ascending) {
  const auto n = ascending.size();
  return ascending[n - 2] - ascending.head(n - 2).mean();
}

}  // namespace

LookFault find_dead(const ElementMatrix& r, const ElementReals& expected, double snapshots) {
  const ElementReals power = r.diagonal().real();
  for (int e = 0; e < power.size(); ++e) {
    if (power[e] < kSilent) return {ElementFault::dead, e};
  }
  const ElementReals signal = (power.array() - 1.0) / expected.array();
  const double usual = median(signal);
  int weakest = 0;
  const double least = signal.minCoeff(&weakest);
  const bool dead = usual > kEnoughSignal && least < kDeadShare * usual &&
                    shared(r, weakest) < kChanceCoherence / snapshots;
  return dead ? LookFault{ElementFault::dead, weakest} : LookFault{};
}

LookFault find_incoherent(const ElementMatrix& r, double snapshots) {
  const ElementReals all = eigenvalues(r);
  if (r.rows() < 4 || count_sources(all, snapshots) < 2) return {};
  // The eigenvalue of noise itself spreads this far above its mean.
  const double allowed = kLeftOver * second_above_noise(all) + 4.0 / std::sqrt(snapshots);
  LookFault found;
  for (int e = 0; e < r.rows(); ++e) {
    const ElementReals left = eigenvalues(without(r, e));
    const bool explains = second_above_noise(left) < allowed &&
                          second_above_noise(left) < 0.2 * second_above_noise(all);
    if (!explains || count_sources(left, snapshots) != 1) continue;
    if (found.fault != ElementFault::none) return {};  // two explanations are none
    found = {ElementFault::incoherent, e};
  }
  return found;
}

}  // namespace fixwright::agent::array
