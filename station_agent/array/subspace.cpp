#include "station_agent/array/subspace.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

namespace fixwright::agent::array {

namespace {

constexpr double kLeastAboveNoise = 1.25;   // 1 dB
constexpr double kLeastOfStrongest = 1e-3;  // -30 dB
constexpr double kTiny = 1e-12;             // of the largest: an eigenvalue that is really zero

/// The description length of `sources` sources, Wax and Kailath's equation 32.
double description_length(const ElementReals& ascending, int sources, double snapshots) {
  const int n = static_cast<int>(ascending.size());
  const int noise_count = n - sources;
  const double least = kTiny * std::max(ascending[n - 1], 1.0);
  double sum = 0.0;
  double log_sum = 0.0;
  for (int i = 0; i < noise_count; ++i) {
    const double value = std::max(ascending[i], least);
    sum += value;
    log_sum += std::log(value);
  }
  const double log_ratio = log_sum / noise_count - std::log(sum / noise_count);
  return -snapshots * noise_count * log_ratio +
         0.5 * sources * (2.0 * n - sources) * std::log(snapshots);
}

double noise_of(const ElementReals& ascending, int sources) {
  return ascending.head(ascending.size() - sources).mean();
}

}  // namespace

ElementMatrix Subspace::signal_projector() const {
  const auto n = vectors.cols();
  ElementMatrix projector = ElementMatrix::Zero(n, n);
  for (auto i = n - std::max(sources, 1); i < n; ++i) {
    projector += vectors.col(i) * vectors.col(i).adjoint();
  }
  return projector;
}

int count_sources(const ElementReals& ascending, double snapshots) {
  const int n = static_cast<int>(ascending.size());
  int best = 0;
  double shortest = description_length(ascending, 0, snapshots);
  for (int k = 1; k < n; ++k) {
    const double length = description_length(ascending, k, snapshots);
    if (length < shortest) {
      shortest = length;
      best = k;
    }
  }
  const double weakest_allowed = kLeastOfStrongest * ascending[n - 1];
  while (best > 1) {
    const double noise = noise_of(ascending, best);
    if (ascending[n - best] > kLeastAboveNoise * noise + weakest_allowed) break;
    --best;
  }
  return best;
}

Subspace decompose(const ElementMatrix& r, double snapshots) {
  const Eigen::SelfAdjointEigenSolver<ElementMatrix> solver(r);
  Subspace s;
  s.eigenvalues = solver.eigenvalues();
  s.vectors = solver.eigenvectors();
  s.sources = count_sources(s.eigenvalues, snapshots);
  // With fewer snapshots than elements the smallest eigenvalues are zero whatever the noise is.
  const bool full_rank = snapshots > static_cast<double>(r.rows());
  s.noise = full_rank ? std::max(noise_of(s.eigenvalues, std::max(s.sources, 1)), kTiny) : 1.0;
  return s;
}

}  // namespace fixwright::agent::array
