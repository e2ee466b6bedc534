#pragma once
/// How well an azimuth can be known at all: the Cramér-Rao bound, for any manifold.

#include "station_agent/array/elements.hpp"
#include "station_agent/array/manifold.hpp"

namespace fixwright::agent::array {

/// One source, or two, as the elements receive them; scaled so that the noise has power 1 in
/// every element.
struct ReceivedSources {
  int count = 1;
  Eigen::Matrix<Complex, Eigen::Dynamic, 2, Eigen::ColMajor, kMaxElements, 2> steering;
  Eigen::Matrix<Complex, Eigen::Dynamic, 2, Eigen::ColMajor, kMaxElements, 2> slope;  // per rad
  Eigen::Matrix2cd power = Eigen::Matrix2cd::Zero();  // covariance of the waveforms
};

/// The bound's standard deviation of each azimuth, degrees; infinite where nothing can be known.
struct AzimuthBound {
  double first_deg = 0.0;
  double second_deg = 0.0;  // 0 for one source
};

/// For Gaussian signals in Gaussian noise ("stochastic"):
/// (1/2K) inv(Re[(D^H P D) . (S A^H R^-1 A S)^T]), P = 1 - A (A^H A)^-1 A^H. Source: P. Stoica,
/// A. Nehorai, IEEE Trans. ASSP 37 (1989) 720 and 38 (1990) 1783. For one source over a circle of N
/// elements it is (1 + 1/(N s)) / (K s N (2 pi R / lambda)^2) rad^2.
AzimuthBound azimuth_bound(const ReceivedSources& sources, double snapshots);

enum class BoundKind {
  deterministic,  // of a given waveform: without the factor 1 + 1/(N s)
  stochastic,
};

/// One source at an SNR, a power ratio per element of unit gain, noise alike in all elements.
double azimuth_bound_deg(const Manifold& manifold, double azimuth_deg, double frequency_hz,
                         double snr, double snapshots, BoundKind kind = BoundKind::stochastic);

/// The azimuth error, degrees rms, that independent errors of the elements' vector make, each of
/// `error_deg` rms in phase and as much in gain: the floor that a calibration's residual leaves.
double floor_of_error_deg(const Manifold& manifold, double azimuth_deg, double frequency_hz,
                          double error_deg);

/// How fast the direction of the received vector turns with azimuth: |d|^2 - |b^H d|^2 for the
/// vector scaled to length 1, per rad^2. A circle: (2 pi R / lambda)^2 / 2.
double turning(const ElementVector& steering, const ElementVector& slope);

}  // namespace fixwright::agent::array
