#pragma once
/// One look at the array, checked and scaled.

#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/array/subspace.hpp"

namespace fixwright::agent::array {

/// A covariance scaled so that the noise has power 1 in every element.
struct Look {
  ElementMatrix matrix;
  ElementReals scale;  // the samples' factor: steering vectors need it too
  double snapshots = 0.0;
  double frequency_hz = 0.0;
  Subspace subspace;
};

/// Why this can't be judged at all; none when it can.
EstimateRefusal input_refusal(const SpatialCovariance& covariance, int elements,
                              double min_snapshots);

/// The matrix as it would be if each element's noise had power 1.
ElementMatrix scaled_by_noise(const SpatialCovariance& covariance);

/// Scaled first by the noise power that was told, then by what the smallest eigenvalues say.
/// \pre input_refusal() is none.
Look look_of(const SpatialCovariance& covariance);

}  // namespace fixwright::agent::array
