#include "station_agent/array/manifold_table.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "server/base/angle.hpp"

namespace fixwright::agent::array {

ManifoldTable::ManifoldTable(std::vector<double> azimuths_deg, std::vector<double> frequencies_hz,
                             std::vector<ElementVector> factors)
    : azimuths_deg_(std::move(azimuths_deg)),
      frequencies_hz_(std::move(frequencies_hz)),
      factors_(std::move(factors)) {
  assert(factors_.size() == azimuths_deg_.size() * frequencies_hz_.size());
}

int ManifoldTable::elements() const {
  return factors_.empty() ? 0 : static_cast<int>(factors_.front().size());
}

ElementVector ManifoldTable::at_frequency(std::size_t row, double relative_deg) const {
  const std::size_t count = azimuths_deg_.size();
  const ElementVector* const first = factors_.data() + row * count;
  const double az = wrap_360(relative_deg);
  const auto above = std::upper_bound(azimuths_deg_.begin(), azimuths_deg_.end(), az);
  const std::size_t next = static_cast<std::size_t>(above - azimuths_deg_.begin()) % count;
  const std::size_t prior = (next + count - 1) % count;
  const double gap = count == 1 ? 360.0 : wrap_360(azimuths_deg_[next] - azimuths_deg_[prior]);
  const double t = wrap_360(az - azimuths_deg_[prior]) / gap;
  return (1.0 - t) * first[prior] + t * first[next];
}

ElementVector ManifoldTable::factor(double relative_deg, double frequency_hz) const {
  assert(!empty());
  const auto above = std::upper_bound(frequencies_hz_.begin(), frequencies_hz_.end(), frequency_hz);
  if (above == frequencies_hz_.begin()) return at_frequency(0, relative_deg);
  const auto next = static_cast<std::size_t>(above - frequencies_hz_.begin());
  if (above == frequencies_hz_.end()) return at_frequency(next - 1, relative_deg);
  const double low_hz = frequencies_hz_[next - 1];
  const double t = (frequency_hz - low_hz) / (*above - low_hz);
  return (1.0 - t) * at_frequency(next - 1, relative_deg) + t * at_frequency(next, relative_deg);
}

}  // namespace fixwright::agent::array
