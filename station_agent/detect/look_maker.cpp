#include "station_agent/detect/look_maker.hpp"

#include <algorithm>
#include <cmath>

#include "station_agent/detect/spectrum_measure.hpp"

namespace fixwright::agent::detect {
namespace {

constexpr double kOverlapWorth = 0.5625 / (0.5625 + 1.0 / 32.0);
/// An element without noise still gets some: estimators divide by it.
constexpr double kLeastNoiseRatio = 1e-6;

double decibels(double ratio) { return 10.0 * std::log10(std::max(ratio, 1e-30)); }

/// The channel's floor, shared out as the elements' noises are to each other.
void fill_noise(std::span<const double> elements, double mean_noise, Eigen::VectorXd& out) {
  double total = 0.0;
  std::size_t count = 0;
  const double loudest = *std::max_element(elements.begin(), elements.end());
  for (const double noise : elements) {
    if (noise > kLeastNoiseRatio * loudest) {
      total += noise;
      ++count;
    }
  }
  out.resize(static_cast<Eigen::Index>(elements.size()));
  for (std::size_t e = 0; e < elements.size(); ++e) {
    const double ratio = total > 0.0 ? elements[e] * static_cast<double>(count) / total : 1.0;
    out(static_cast<Eigen::Index>(e)) = mean_noise * std::max(kLeastNoiseRatio, ratio);
  }
}

double signal_in(std::span<const float> spectrum, double floor, std::size_t first,
                 std::size_t last) {
  double sum = 0.0;
  for (std::size_t k = first; k <= last; ++k) {
    sum += static_cast<double>(spectrum[k]) - floor;
  }
  return sum;
}

std::optional<double> in_hertz(const std::optional<double>& bins, double bin_hz) {
  return bins ? std::optional<double>(*bins * bin_hz) : std::nullopt;
}

}  // namespace

void make_look(const DetectorConfig& config, const BinPlan& plan, const NoiseFloor& floor,
               const LookShape& shape, ChannelBank& bank, ChannelLook& look) {
  const std::size_t c = look.channel;
  const std::span<const float> spectrum = bank.mean_spectrum(c);
  const double noise = floor.of_channel(c);
  const auto windows = static_cast<double>(bank.windows(c));
  const SpectrumMeasure measure = measure_spectrum(
      spectrum, noise, kOverlapWorth * windows * static_cast<double>(bank.sound_elements()),
      {config.rules.occupied_share, config.rules.xdb});

  const auto span = static_cast<double>(measure.last - measure.first + 1);
  look.span_hz = span * plan.bin_hz;
  look.frequency_hz = config.centre_hz +
                      (static_cast<double>(plan.channels[c].first) + measure.centre) * plan.bin_hz;
  look.bandwidth_hz = in_hertz(measure.occupied, plan.bin_hz);
  look.bandwidth_xdb_hz = in_hertz(measure.xdb_width, plan.bin_hz);
  look.level_dbfs = decibels(shape.level);
  // Steps that the signal fills only in part would make it look weaker than it is.
  const double filled = shape.level / shape.mean;
  look.snr_db =
      decibels(filled * signal_in(spectrum, noise, measure.first, measure.last) / (noise * span));
  bank.covariance(c, measure.first, measure.last, look.covariance);
  look.snapshots = kOverlapWorth * 0.5 * windows * span;  // a window is new by half
  fill_noise(floor.of_elements(), noise * span, look.noise_power);
}

}  // namespace fixwright::agent::detect
