#include "station_agent/array/look.hpp"

#include <algorithm>
#include <cmath>

namespace fixwright::agent::array {

namespace {

constexpr double kHermitian = 1e-6;  // of the largest power; single-precision sums stay below

bool is_power(double value) { return std::isfinite(value) && value > 0.0; }

bool is_covariance(const ElementMatrix& r) {
  if (!r.allFinite()) return false;
  const double largest = r.diagonal().real().maxCoeff();
  if (!(largest > 0.0) || r.diagonal().real().minCoeff() < 0.0) return false;
  for (int i = 0; i < r.rows(); ++i) {
    for (int j = 0; j <= i; ++j) {
      if (std::abs(r(i, j) - std::conj(r(j, i))) > kHermitian * largest) return false;
    }
  }
  return true;
}

}  // namespace

EstimateRefusal input_refusal(const SpatialCovariance& covariance, int elements,
                              double min_snapshots) {
  const ElementMatrix& r = covariance.matrix;
  if (r.rows() != elements || r.cols() != elements || covariance.noise_power.size() != elements) {
    return EstimateRefusal::wrong_shape;
  }
  if (!is_covariance(r) || !is_power(covariance.frequency_hz)) {
    return EstimateRefusal::bad_covariance;
  }
  for (int e = 0; e < elements; ++e) {
    if (!is_power(covariance.noise_power[e])) return EstimateRefusal::bad_noise_power;
  }
  // The eigenvalues' test needs a covariance of full rank.
  const double needed = std::max(min_snapshots, elements + 1.0);
  const bool enough = std::isfinite(covariance.snapshots) && covariance.snapshots >= needed;
  return enough ? EstimateRefusal::none : EstimateRefusal::too_few_snapshots;
}

ElementMatrix scaled_by_noise(const SpatialCovariance& covariance) {
  const ElementReals scale = covariance.noise_power.array().rsqrt();
  ElementMatrix scaled = covariance.matrix;
  for (int i = 0; i < scaled.rows(); ++i) {
    for (int j = 0; j < scaled.cols(); ++j) scaled(i, j) *= scale[i] * scale[j];
  }
  return scaled;
}

Look look_of(const SpatialCovariance& covariance) {
  Look look;
  look.scale = covariance.noise_power.array().rsqrt();
  look.matrix = scaled_by_noise(covariance);
  look.snapshots = covariance.snapshots;
  look.frequency_hz = covariance.frequency_hz;
  look.subspace = decompose(look.matrix, look.snapshots);
  const double noise = look.subspace.noise;
  look.matrix /= noise;
  look.scale /= std::sqrt(noise);
  look.subspace.eigenvalues /= noise;
  look.subspace.noise = 1.0;
  return look;
}

}  // namespace fixwright::agent::array
