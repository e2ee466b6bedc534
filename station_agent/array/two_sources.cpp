#include "station_agent/array/two_sources.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "station_agent/array/azimuth_bound.hpp"

namespace fixwright::agent::array {

namespace {

constexpr double kMostOfSignal = 0.5;  // what a pair must explain
constexpr double kSameVector = 0.999;
constexpr int kLeastElements = 4;
constexpr double kClear = 0.05;  // relative power of all errors, above which rays can't be told

/// Both waves as received, with the powers that the look speaks of.
ReceivedSources received(const Look& look, const Spectrum& spectrum, const Pair& pair) {
  const auto n = look.matrix.rows();
  ReceivedSources two;
  two.count = 2;
  two.steering.resize(n, 2);
  two.slope.resize(n, 2);
  two.steering.col(0) = spectrum.scaled_steering(pair.first_deg);
  two.steering.col(1) = spectrum.scaled_steering(pair.second_deg);
  two.slope.col(0) = spectrum.scaled_slope(pair.first_deg);
  two.slope.col(1) = spectrum.scaled_slope(pair.second_deg);
  const Eigen::Matrix2cd gram = two.steering.adjoint() * two.steering;
  const Eigen::Matrix2cd inverse = gram.inverse();
  // Least squares of the look less its noise: A+ (R - 1) A+^H.
  const Eigen::Matrix<Complex, Eigen::Dynamic, 2, Eigen::ColMajor, kMaxElements, 2> ra =
      look.matrix.lazyProduct(two.steering);
  const Eigen::Matrix2cd seen = two.steering.adjoint() * ra;
  two.power = inverse * seen * inverse - inverse;
  return two;
}

TwoSources described(const Look& look, const Spectrum& spectrum, const Pair& pair,
                     double snapshots) {
  TwoSources result;
  ReceivedSources two = received(look, spectrum, pair);
  double first = two.power(0, 0).real() * two.steering.col(0).squaredNorm();
  double second = two.power(1, 1).real() * two.steering.col(1).squaredNorm();
  const AzimuthBound bound = azimuth_bound(two, snapshots);
  const bool first_is_strong = first >= second;
  result.strong_deg = first_is_strong ? pair.first_deg : pair.second_deg;
  result.weak_deg = first_is_strong ? pair.second_deg : pair.first_deg;
  result.strong_sigma_deg = first_is_strong ? bound.first_deg : bound.second_deg;
  const double weaker = std::min(first, second);
  result.weak_share = weaker / (first + second);
  result.found = weaker > 0.0 && std::isfinite(result.strong_sigma_deg);
  return result;
}

TwoSources fit_independent(const Look& look, const Spectrum& spectrum) {
  const ElementMatrix projector = look.subspace.signal_projector();
  const PeakList music = spectrum.maxima(projector);
  if (music.count == 0) return {};
  const double start_deg = spectrum.refine(projector, music.peaks[0].azimuth_deg).azimuth_deg;
  const Pair pair = best_pair(spectrum, look.matrix, start_deg);
  const double signal = (look.subspace.eigenvalues.array() - 1.0).tail(look.subspace.sources).sum();
  if (pair.explained - 2.0 < kMostOfSignal * signal) return {};
  return described(look, spectrum, pair, look.snapshots);
}

TwoSources fit_coherent(const Look& look, const Spectrum& spectrum, const OneSource& one,
                        const ModelError& error) {
  const int n = static_cast<int>(look.matrix.rows());
  if (one.allowed_spread * n > kClear) return {};
  const ElementVector v = look.subspace.principal();
  const ElementMatrix outer = v * v.adjoint();
  const Pair pair = best_pair(spectrum, outer, one.azimuth_deg);
  const double rest = (1.0 - pair.explained) / std::max(pair.explained, 1e-12);
  // A direction of n complex elements, less two azimuths and a complex ratio.
  if (!may_be_chance(rest / one.allowed_spread, 2 * n - 6)) return {};
  TwoSources two = described(look, spectrum, pair, effective_snapshots(look, one, error));
  const double alone_deg = std::hypot(one.noise_sigma_deg, one.excess_sigma_deg);
  two.found = two.found && two.strong_sigma_deg < alone_deg;
  return two;
}

}  // namespace

TwoSources fit_two(const Look& look, const Spectrum& spectrum, const OneSource& one,
                   const ModelError& error) {
  if (look.matrix.rows() < kLeastElements) return {};
  if (look.subspace.sources > 1) return fit_independent(look, spectrum);
  return one.fits ? TwoSources{} : fit_coherent(look, spectrum, one, error);
}

PeakList images_of(const Spectrum& spectrum, double azimuth_deg) {
  const ElementVector b = spectrum.unit_steering(azimuth_deg);
  const ElementMatrix outer = b * b.adjoint();
  const PeakList same = spectrum.maxima(outer);
  PeakList images;
  for (int i = 0; i < same.count; ++i) {
    if (same.peaks[i].value < 0.9) break;
    const Peak fine = spectrum.refine(outer, same.peaks[i].azimuth_deg);
    const bool other = std::abs(wrap_180(fine.azimuth_deg - azimuth_deg)) > 1.0;
    if (other && fine.value > kSameVector) images.insert(fine);
  }
  return images;
}

}  // namespace fixwright::agent::array
