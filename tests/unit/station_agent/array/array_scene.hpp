#pragma once
/// Covariances of made-up waves over an array, seeded: the same on every machine.

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <vector>

#include "server/base/angle.hpp"
#include "station_agent/array/azimuth_estimator.hpp"

namespace fixwright::agent::array {

inline double lambda_m(double frequency_hz) { return kSpeedOfLight_m_s / frequency_hz; }

/// A frequency at which one metre is one wavelength: positions are then in wavelengths.
inline constexpr double kMetreWave_hz = kSpeedOfLight_m_s;

/// std::normal_distribution differs between libraries; Box and Muller's (1958) does not.
class Chance {
 public:
  explicit Chance(std::uint64_t seed) : bits_(seed) {}
  double uniform() { return static_cast<double>(bits_() >> 11) * 0x1.0p-53; }
  double normal() { return std::sqrt(2.0) * gaussian().real(); }
  /// Complex, of power 1.
  Complex gaussian() {
    const double size = std::sqrt(-std::log(1.0 - uniform()));
    return std::polar(size, 2.0 * std::numbers::pi * uniform());
  }

 private:
  std::mt19937_64 bits_;
};

struct Wave {
  double azimuth_deg = 0.0;
  double snr_db = 0.0;
  /// The waveform: waves of one number carry the same one, with this phase.
  int waveform = 0;
  double phase_deg = 0.0;
};

/// What the elements receive, as the array really is, in noise of power 1 per element.
inline SpatialCovariance covariance_of(const Manifold& truth, const std::vector<Wave>& waves,
                                       int snapshots, Chance& chance,
                                       double frequency_hz = kMetreWave_hz) {
  const int n = truth.elements();
  std::vector<ElementVector> paths(4, ElementVector::Zero(n));
  for (const Wave& wave : waves) {
    paths.at(wave.waveform) +=
        std::polar(std::pow(10.0, wave.snr_db / 20.0), wave.phase_deg * kDegToRad) *
        truth.steering(wave.azimuth_deg, frequency_hz);
  }
  SpatialCovariance look{ElementMatrix::Zero(n, n), static_cast<double>(snapshots),
                         ElementReals::Ones(n), frequency_hz};
  for (int k = 0; k < snapshots; ++k) {
    ElementVector x(n);
    for (int e = 0; e < n; ++e) x[e] = chance.gaussian();
    for (const ElementVector& path : paths) {
      if (path.squaredNorm() > 0.0) x += path * chance.gaussian();
    }
    look.matrix += x * x.adjoint();
  }
  look.matrix /= snapshots;
  return look;
}

/// Responses that differ by these rms amounts between elements.
inline ArrayCalibration random_responses(int elements, double gain_db, double phase_deg,
                                         Chance& chance) {
  ArrayCalibration c;
  for (int e = 0; e < elements; ++e) {
    c.elements.push_back({gain_db * chance.normal(), phase_deg * chance.normal(), 0.0});
  }
  return c;
}

/// An array that has been measured and found ideal.
inline ArrayCalibration perfect(int elements) {
  ArrayCalibration c;
  c.method = CalibrationMethod::common_reference;
  c.elements.resize(elements);
  return c;
}

inline double error_deg(const Estimate& estimate, double truth_deg) {
  return wrap_180(estimate.azimuth_deg - truth_deg);
}

}  // namespace fixwright::agent::array
