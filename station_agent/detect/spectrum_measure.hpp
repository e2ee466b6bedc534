#pragma once
/// Width and middle of a signal from the averaged power spectrum of its channel.

#include <cstddef>
#include <optional>
#include <span>

namespace fixwright::agent::detect {

struct SpectrumRules {
  double occupied_share = 0.99;  // 1 - beta
  double xdb = 26.0;
};

/// In bins; bin k reaches from k - 1/2 to k + 1/2.
struct SpectrumMeasure {
  std::size_t first = 0;  // the bins that hold the signal, both inclusive
  std::size_t last = 0;
  double centre = 0.0;              // centre of gravity
  std::optional<double> occupied;   // width that holds occupied_share of the power
  std::optional<double> xdb_width;  // between the outermost points xdb below the maximum
};

/// \param power     mean power of each bin, noise in it; at least 3 bins.
/// \param floor     mean noise power of one bin, > 0.
/// \param averages  independent powers in each bin's mean.
/// A bin counts as signal when it stands over the floor by four standard deviations of its mean
/// and by 2 % more, for what the floor itself may be wrong. Occupied width: Rec. ITU-R SM.443,
/// (1 - share) / 2 of the power outside each end; told when the signal is 10 dB over the noise in
/// its bins. x-dB width: told when that level is still signal. Neither can be less than what Hann's
/// window makes of a carrier: about 3 bins.
SpectrumMeasure measure_spectrum(std::span<const float> power, double floor, double averages,
                                 const SpectrumRules& rules);

}  // namespace fixwright::agent::detect
