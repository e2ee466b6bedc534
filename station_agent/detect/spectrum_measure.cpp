#include "station_agent/detect/spectrum_measure.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace fixwright::agent::detect {
namespace {

constexpr double kSigmas = 4.0;
constexpr double kFloorError = 0.02;
constexpr double kClearOfNoise = 10.0;  // 10 dB

struct Range {
  std::size_t first;
  std::size_t last;
};

/// The powers with the noise taken off.
class Excess {
 public:
  Excess(std::span<const float> power, double floor) : power_(power), floor_(floor) {}
  [[nodiscard]] double operator[](std::size_t k) const {
    return static_cast<double>(power_[k]) - floor_;
  }
  [[nodiscard]] std::size_t size() const { return power_.size(); }
  [[nodiscard]] double sum(Range r) const {
    double total = 0.0;
    for (std::size_t k = r.first; k <= r.last; ++k) {
      total += (*this)[k];
    }
    return total;
  }

 private:
  std::span<const float> power_;
  double floor_;
};

std::size_t peak_of(std::span<const float> power) {
  return static_cast<std::size_t>(std::max_element(power.begin(), power.end()) - power.begin());
}

/// From the first to the last bin above `level`; the whole channel when none is.
Range range_above(const Excess& excess, double level) {
  Range r{excess.size(), 0};
  for (std::size_t k = 0; k < excess.size(); ++k) {
    if (excess[k] > level) {
      r.first = std::min(r.first, k);
      r.last = k;
    }
  }
  return r.first > r.last ? Range{0, excess.size() - 1} : r;
}

Range widened(Range r, std::size_t size) {
  return {r.first == 0 ? 0 : r.first - 1, std::min(r.last + 1, size - 1)};
}

double centre_of_gravity(const Excess& excess, Range r) {
  double moment = 0.0;
  for (std::size_t k = r.first; k <= r.last; ++k) {
    moment += excess[k] * static_cast<double>(k);
  }
  const double total = excess.sum(r);
  const double middle = 0.5 * static_cast<double>(r.first + r.last);
  if (!(total > 0.0)) {
    return middle;
  }
  return std::clamp(moment / total, static_cast<double>(r.first), static_cast<double>(r.last));
}

/// Where, coming from below, `wanted` of the power has been passed.
double point_of_power(const Excess& excess, Range r, double wanted) {
  double before = 0.0;
  for (std::size_t k = r.first; k <= r.last; ++k) {
    const double here = excess[k];
    if (before + here >= wanted && here > 0.0) {
      return static_cast<double>(k) - 0.5 + (wanted - before) / here;
    }
    before += here;
  }
  return static_cast<double>(r.last) + 0.5;
}

/// Where a line through the logarithms of two neighbours crosses `level`, in bins from `inside`.
double crossing(double inside, double outside, double level) {
  const double low = std::max(outside, 1e-6 * level);
  return std::log(inside / level) / std::log(inside / low);
}

double xdb_width(const Excess& excess, double level) {
  const Range r = range_above(excess, level);
  double width = static_cast<double>(r.last - r.first);
  if (r.first > 0) {
    width += crossing(excess[r.first], excess[r.first - 1], level);
  }
  if (r.last + 1 < excess.size()) {
    width += crossing(excess[r.last], excess[r.last + 1], level);
  }
  return width;
}

/// At least the bins that Hann's window spreads a carrier over.
Range with_peak(Range r, std::size_t peak, std::size_t size) {
  const Range carrier = widened({peak, peak}, size);
  return {std::min(r.first, carrier.first), std::max(r.last, carrier.last)};
}

std::size_t bin_of(double place, std::size_t size) {
  return static_cast<std::size_t>(
      std::clamp(std::floor(place + 0.5), 0.0, static_cast<double>(size - 1)));
}

}  // namespace

SpectrumMeasure measure_spectrum(std::span<const float> power, double floor, double averages,
                                 const SpectrumRules& rules) {
  assert(power.size() >= 3 && floor > 0.0 && averages > 0.0);
  const Excess excess(power, floor);
  const double threshold = floor * (kSigmas / std::sqrt(averages) + kFloorError);
  const std::size_t peak = peak_of(power);
  const Range signal = widened(range_above(excess, threshold), power.size());
  SpectrumMeasure out;
  out.centre = centre_of_gravity(excess, signal);
  Range held = signal;
  const double total = excess.sum(signal);
  if (total >= kClearOfNoise * floor * static_cast<double>(signal.last - signal.first + 1)) {
    const double outside = 0.5 * (1.0 - rules.occupied_share) * total;
    const double low = point_of_power(excess, signal, outside);
    const double high = point_of_power(excess, signal, total - outside);
    out.occupied = high - low;
    held = {bin_of(low, power.size()), bin_of(high, power.size())};
  }
  held = with_peak(held, peak, power.size());
  out.first = held.first;
  out.last = held.last;
  const double level = excess[peak] * std::pow(10.0, -0.1 * rules.xdb);
  if (level > threshold) {
    out.xdb_width = xdb_width(excess, level);
  }
  return out;
}

}  // namespace fixwright::agent::detect
