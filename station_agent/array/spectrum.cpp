#include "station_agent/array/spectrum.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"

namespace fixwright::agent::array {

namespace {

constexpr double kGridStep_deg = 360.0 / kGridSteps;
constexpr double kSameFrequency = 1e-4;
constexpr double kGone = 1e-9;  // of the length: what is left of a vector that was nulled

/// b^H Q b / b^H b, with one direction taken out.
double form(const ElementMatrix& q, ElementVector b, const ElementVector* nulled) {
  const double whole = b.squaredNorm();
  if (nulled != nullptr) b -= *nulled * nulled->dot(b);
  const double size = b.squaredNorm();
  if (size <= kGone * whole) return 0.0;
  const ElementVector qb = q.lazyProduct(b);
  return b.dot(qb).real() / size;
}

}  // namespace

void PeakList::insert(const Peak& peak) {
  int at = count;
  while (at > 0 && peaks[at - 1].value < peak.value) --at;
  if (at == kMaxPeaks) return;
  if (count < kMaxPeaks) ++count;
  std::copy_backward(peaks.begin() + at, peaks.begin() + count - 1, peaks.begin() + count);
  peaks[at] = peak;
}

SteeringGrid::SteeringGrid(int elements, int frequencies) : entries_(frequencies) {
  for (Entry& entry : entries_) entry.columns.resize(elements, kGridSteps);
}

const Eigen::MatrixXcd& SteeringGrid::at(const Manifold& manifold, double frequency_hz) {
  for (const Entry& entry : entries_) {
    if (std::abs(entry.frequency_hz - frequency_hz) < kSameFrequency * frequency_hz) {
      return entry.columns;
    }
  }
  Entry& entry = entries_[next_];
  next_ = (next_ + 1) % entries_.size();
  entry.frequency_hz = frequency_hz;
  for (int i = 0; i < kGridSteps; ++i) {
    entry.columns.col(i) = manifold.steering(i * kGridStep_deg, frequency_hz);
  }
  return entry.columns;
}

Spectrum::Spectrum(const Manifold& manifold, const Eigen::MatrixXcd& grid,
                   const ElementReals& scale, double frequency_hz, Sector sector)
    : manifold_(&manifold),
      grid_(&grid),
      scale_(scale),
      frequency_hz_(frequency_hz),
      sector_(sector) {}

ElementVector Spectrum::scaled_steering(double azimuth_deg) const {
  ElementVector b = manifold_->steering(azimuth_deg, frequency_hz_);
  b.array() *= scale_.array();
  return b;
}

ElementVector Spectrum::scaled_slope(double azimuth_deg) const {
  ElementVector d = manifold_->steering_slope(azimuth_deg, frequency_hz_);
  d.array() *= scale_.array();
  return d;
}

ElementVector Spectrum::unit_steering(double azimuth_deg) const {
  const ElementVector b = scaled_steering(azimuth_deg);
  return b / b.norm();
}

double Spectrum::value(const ElementMatrix& q, double azimuth_deg,
                       const ElementVector* nulled) const {
  return form(q, scaled_steering(azimuth_deg), nulled);
}

bool Spectrum::in_sector(double azimuth_deg) const {
  const double relative_deg = azimuth_deg - manifold_->geometry().orientation_deg;
  return std::abs(wrap_180(relative_deg - sector_.centre_deg)) <= sector_.half_width_deg;
}

PeakList Spectrum::maxima(const ElementMatrix& q, const ElementVector* nulled) const {
  std::array<double, kGridSteps> values{};
  for (int i = 0; i < kGridSteps; ++i) {
    ElementVector b = grid_->col(i);
    b.array() *= scale_.array();
    values[i] = form(q, b, nulled);
  }
  PeakList found;
  for (int i = 0; i < kGridSteps; ++i) {
    const double before = values[(i + kGridSteps - 1) % kGridSteps];
    const double after = values[(i + 1) % kGridSteps];
    const bool top = values[i] > before && values[i] >= after;
    if (top && in_sector(i * kGridStep_deg)) found.insert({i * kGridStep_deg, values[i]});
  }
  return found;
}

Peak Spectrum::refine(const ElementMatrix& q, double azimuth_deg,
                      const ElementVector* nulled) const {
  double at_deg = azimuth_deg;
  double middle = value(q, at_deg, nulled);
  for (double step_deg = kGridStep_deg; step_deg > 1e-3; step_deg *= 0.25) {
    const double left = value(q, at_deg - step_deg, nulled);
    const double right = value(q, at_deg + step_deg, nulled);
    const double bend = left - 2.0 * middle + right;
    const double vertex = bend < 0.0 ? 0.5 * (left - right) / bend : (right > left ? 1.0 : -1.0);
    const double moved_deg = at_deg + step_deg * std::clamp(vertex, -1.0, 1.0);
    const double moved = value(q, moved_deg, nulled);
    if (moved < middle) continue;
    at_deg = moved_deg;
    middle = moved;
  }
  return {wrap_360(at_deg), middle};
}

Pair best_pair(const Spectrum& spectrum, const ElementMatrix& q, double start_deg) {
  constexpr int kMostRounds = 200;
  constexpr double kSettled_deg = 1e-4;
  Pair pair{start_deg, start_deg, 0.0};
  ElementVector other = spectrum.unit_steering(pair.first_deg);
  const PeakList partners = spectrum.maxima(q, &other);
  if (partners.count == 0) return {start_deg, start_deg, spectrum.value(q, start_deg)};
  pair.second_deg = spectrum.refine(q, partners.peaks[0].azimuth_deg, &other).azimuth_deg;
  for (int round = 0; round < kMostRounds; ++round) {
    other = spectrum.unit_steering(pair.second_deg);
    const double first_deg = spectrum.refine(q, pair.first_deg, &other).azimuth_deg;
    other = spectrum.unit_steering(first_deg);
    const double second_deg = spectrum.refine(q, pair.second_deg, &other).azimuth_deg;
    const double moved_deg = std::abs(wrap_180(first_deg - pair.first_deg)) +
                             std::abs(wrap_180(second_deg - pair.second_deg));
    pair = {first_deg, second_deg, 0.0};
    if (moved_deg < kSettled_deg) break;
  }
  other = spectrum.unit_steering(pair.first_deg);
  pair.explained = spectrum.value(q, pair.first_deg) + spectrum.value(q, pair.second_deg, &other);
  return pair;
}

}  // namespace fixwright::agent::array
