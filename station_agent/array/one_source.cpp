#include "station_agent/array/one_source.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "station_agent/array/azimuth_bound.hpp"

namespace fixwright::agent::array {

namespace {

/// The sharpest grid maxima, refined and in order again. A peak that can't compete isn't refined.
PeakList refined(const Spectrum& spectrum, const ElementMatrix& q, const PeakList& rough) {
  PeakList fine;
  for (int i = 0; i < rough.count; ++i) {
    const bool competes = rough.peaks[i].value > 0.5 * rough.peaks[0].value;
    fine.insert(competes ? spectrum.refine(q, rough.peaks[i].azimuth_deg) : rough.peaks[i]);
  }
  return fine;
}

/// Variance per real degree of freedom of the principal eigenvector, scaled to its part along the
/// wave: of noise, and of a manifold whose elements err by error_rad each.
double spread_of(const Look& look, const ModelError& error) {
  const double largest = look.subspace.largest();
  const double noise = largest / (2.0 * look.snapshots * (largest - 1.0) * (largest - 1.0));
  return noise + error.element_rad * error.element_rad / static_cast<double>(look.matrix.rows());
}

void measure_fit(const Look& look, const ElementVector& unit, const ModelError& error,
                 OneSource& one) {
  const int n = static_cast<int>(look.matrix.rows());
  const int freedoms = 2 * n - 3;  // of a direction of n complex elements, less the azimuth
  one.explained = std::norm(unit.dot(look.subspace.principal()));
  const double rest = (1.0 - one.explained) / std::max(one.explained, 1e-12);
  one.misfit_deg = std::sqrt(std::max(rest, 0.0) * n / freedoms) * kRadToDeg;
  one.allowed_spread = spread_of(look, error);
  one.fits = may_be_chance(rest / one.allowed_spread, freedoms);
}

}  // namespace

bool may_be_chance(double sum, int degrees_of_freedom) {
  constexpr double kNormal999 = 3.0902;
  const double v = 2.0 / (9.0 * degrees_of_freedom);
  const double root = 1.0 - v + kNormal999 * std::sqrt(v);
  return sum <= degrees_of_freedom * root * root * root;
}

OneSource fit_one(const Look& look, const Spectrum& spectrum, const ModelError& error) {
  OneSource one;
  one.peaks = refined(spectrum, look.matrix, spectrum.maxima(look.matrix));
  if (one.peaks.count == 0) return one;
  one.azimuth_deg = one.peaks.peaks[0].azimuth_deg;
  const auto n = look.matrix.rows();
  const ElementVector b = spectrum.scaled_steering(one.azimuth_deg);
  const ElementVector d = spectrum.scaled_slope(one.azimuth_deg);
  ReceivedSources received;
  received.steering.resize(n, 2);
  received.slope.resize(n, 2);
  received.steering.col(0) = b;
  received.slope.col(0) = d;
  const double power = std::max(one.peaks.peaks[0].value - 1.0, 0.0) / b.squaredNorm();
  received.power(0, 0) = power;
  one.noise_sigma_deg = azimuth_bound(received, look.snapshots).first_deg;
  one.snr = power * b.squaredNorm() / static_cast<double>(n);
  measure_fit(look, b / b.norm(), error, one);
  if (!one.fits) {
    one.excess_sigma_deg = one.misfit_deg / std::sqrt(static_cast<double>(n) * turning(b, d));
  }
  return one;
}

double effective_snapshots(const Look& look, const OneSource& one, const ModelError& error) {
  return 1.0 / (1.0 / look.snapshots + 2.0 * error.element_rad * error.element_rad * one.snr);
}

Likelihoods likelihoods(const PeakList& peaks, double snapshots) {
  const auto log_likelihood = [&](const Peak& peak) {
    const double g = std::max(peak.value, 1.0);
    return snapshots * (g - std::log(g));
  };
  const double best = log_likelihood(peaks.peaks[0]);
  Likelihoods likely;
  double sum = 0.0;
  for (int i = 0; i < peaks.count; ++i) {
    likely.weight[i] = std::exp(std::min(log_likelihood(peaks.peaks[i]) - best, 0.0));
    sum += likely.weight[i];
  }
  for (double& weight : likely.weight) weight /= sum;
  return likely;
}

}  // namespace fixwright::agent::array
