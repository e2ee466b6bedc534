#include "station_agent/array/site_check.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "station_agent/array/spectrum.hpp"

namespace fixwright::agent::array {

namespace {

constexpr int kCableStep_deg = 5;

Eigen::MatrixXcd unit_circle(const Manifold& manifold, double frequency_hz) {
  Eigen::MatrixXcd all(manifold.elements(), kGridSteps);
  for (int i = 0; i < kGridSteps; ++i) {
    all.col(i) = manifold.steering(i * 360.0 / kGridSteps, frequency_hz).normalized();
  }
  return all;
}

/// The highest maximum of one direction's pattern that isn't its own lobe.
void take_worst_of(const Eigen::VectorXd& pattern, int own, Ambiguity& worst) {
  for (int j = 0; j < kGridSteps; ++j) {
    const double before = pattern[(j + kGridSteps - 1) % kGridSteps];
    const double after = pattern[(j + 1) % kGridSteps];
    const bool top = j != own && pattern[j] >= before && pattern[j] > after;
    if (!top || pattern[j] <= worst.level) continue;
    worst = {pattern[j], own * 360.0 / kGridSteps, j * 360.0 / kGridSteps};
  }
}

}  // namespace

std::string_view word(SpacingVerdict verdict) {
  switch (verdict) {
    case SpacingVerdict::small:
      return "small";
    case SpacingVerdict::acceptable:
      return "acceptable";
    case SpacingVerdict::good:
      return "good";
    case SpacingVerdict::wide:
      return "wide";
  }
  return "unknown";
}

SpacingCheck check_spacing(const ArrayGeometry& geometry, double frequency_hz) {
  const double wavelengths = neighbour_spacing_m(geometry) * frequency_hz / kSpeedOfLight_m_s;
  SpacingVerdict verdict = SpacingVerdict::acceptable;
  if (wavelengths < 0.2) verdict = SpacingVerdict::small;
  if (wavelengths >= 0.4 && wavelengths <= 0.45) verdict = SpacingVerdict::good;
  if (wavelengths >= 0.5) verdict = SpacingVerdict::wide;
  return {frequency_hz, wavelengths, verdict};
}

Ambiguity worst_ambiguity(const Manifold& manifold, double frequency_hz) {
  const Eigen::MatrixXcd all = unit_circle(manifold, frequency_hz);
  Ambiguity worst;
  for (int i = 0; i < kGridSteps; ++i) {
    take_worst_of((all.adjoint() * all.col(i)).cwiseAbs(), i, worst);
  }
  return worst;
}

std::vector<CableError> cable_errors(const Manifold& manifold, double frequency_hz, double extra_m,
                                     double velocity_factor) {
  const int n = manifold.elements();
  SteeringGrid grid{n, 1};
  const Spectrum spectrum{manifold, grid.at(manifold, frequency_hz), ElementReals::Ones(n),
                          frequency_hz, Sector{}};
  const double turns = frequency_hz * extra_m / (kSpeedOfLight_m_s * velocity_factor);
  const Complex late = std::polar(1.0, -2.0 * std::numbers::pi * turns);
  std::vector<CableError> errors;
  for (int e = 0; e < n; ++e) {
    CableError error{e, 0.0, 0.0};
    double sum = 0.0;
    for (int az_deg = 0; az_deg < 360; az_deg += kCableStep_deg) {
      ElementVector x = spectrum.unit_steering(az_deg);
      x[e] *= late;
      const ElementMatrix outer = x * x.adjoint();
      // From the grid's maximum: refining reaches little more than a degree.
      const Peak top = spectrum.refine(outer, spectrum.maxima(outer).peaks[0].azimuth_deg);
      const double shift_deg = wrap_180(top.azimuth_deg - az_deg);
      sum += shift_deg * shift_deg;
      error.worst_deg = std::max(error.worst_deg, std::abs(shift_deg));
    }
    error.rms_deg = std::sqrt(sum * kCableStep_deg / 360.0);
    errors.push_back(error);
  }
  return errors;
}

}  // namespace fixwright::agent::array
