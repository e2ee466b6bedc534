#include "station_agent/detect/channel_bank.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace fixwright::agent::detect {

ChannelBank::ChannelBank(const BinPlan& plan, std::size_t elements)
    : plan_(plan),
      elements_(elements),
      pairs_(elements * (elements + 1) / 2),
      // The mean square of Hann's window is 3/8 (any book on spectra): Parseval then gives the
      // scale that the header promises.
      scale_(static_cast<float>(1.0 / (std::sqrt(0.375) * static_cast<double>(plan.size)))),
      sound_(elements),
      step_(plan.step_windows * elements * 2 * plan.lanes),
      step_power_(plan.lanes),
      look_power_(plan.lanes),
      look_cross_(plan.lanes * pairs_ * 2),
      windows_(plan.channels.size()),
      sound_windows_(plan.channels.size()),
      spectrum_(plan.lanes * kLane) {}

void ChannelBank::take(std::size_t e, std::size_t w, const float* bin0) {
  Lane* re = step_.data() + (w * elements_ + e) * 2 * plan_.lanes;
  for (const ChannelBins& channel : plan_.channels) {
    take_bins(bin0 + 2 * channel.place, channel.lanes, scale_,
              {re + channel.lane, re + plan_.lanes + channel.lane});
  }
}

void ChannelBank::sum_powers(std::uint32_t faulty_elements) {
  std::fill(step_power_.begin(), step_power_.end(), Lane{});
  const std::uint64_t all = (1ULL << elements_) - 1;
  // Where no element is sound, all count: there is nothing better.
  const std::uint64_t sound = (~faulty_elements & all) == 0 ? all : ~faulty_elements & all;
  sound_ = 0;
  for (std::size_t e = 0; e < elements_; ++e) {
    if ((sound >> e & 1U) != 0) {
      ++sound_;
      const Lane* re = step_.data() + e * 2 * plan_.lanes;
      add_power({re, re + plan_.lanes}, plan_.step_windows, elements_ * 2 * plan_.lanes,
                plan_.lanes, step_power_.data());
    }
  }
}

double ChannelBank::power(std::size_t c) const {
  const ChannelBins& channel = plan_.channels[c];
  double sum = 0.0;
  for (std::size_t k = 0; k < channel.count; ++k) {
    sum += static_cast<double>(step_power_[channel.lane + k / kLane].v[k % kLane]);
  }
  return sum / static_cast<double>(plan_.step_windows * sound_);
}

Bins ChannelBank::bins(std::size_t c, std::size_t e) const {
  const Lane* re = step_.data() + e * 2 * plan_.lanes + plan_.channels[c].lane;
  return {re, re + plan_.lanes};
}

Lane* ChannelBank::pair_sum(std::size_t c, std::size_t pair) {
  const ChannelBins& channel = plan_.channels[c];
  return look_cross_.data() + 2 * (channel.lane * pairs_ + pair * channel.lanes);
}

void ChannelBank::clear(std::size_t c) {
  const ChannelBins& channel = plan_.channels[c];
  std::fill_n(pair_sum(c, 0), 2 * pairs_ * channel.lanes, Lane{});
  std::fill_n(look_power_.data() + channel.lane, channel.lanes, Lane{});
  windows_[c] = 0;
  sound_windows_[c] = 0;
}

void ChannelBank::add_step(std::size_t c) {
  const ChannelBins& channel = plan_.channels[c];
  for (std::size_t l = channel.lane; l < channel.lane + channel.lanes; ++l) {
    for (std::size_t i = 0; i < kLane; ++i) {
      look_power_[l].v[i] += step_power_[l].v[i];
    }
  }
  std::size_t pair = 0;
  for (std::size_t a = 0; a < elements_; ++a) {
    for (std::size_t b = a; b < elements_; ++b, ++pair) {
      Lane* sum = pair_sum(c, pair);
      add_cross(bins(c, a), bins(c, b), plan_.step_windows, elements_ * 2 * plan_.lanes,
                channel.lanes, {sum, sum + channel.lanes});
    }
  }
  windows_[c] += plan_.step_windows;
  sound_windows_[c] += plan_.step_windows * sound_;
}

std::span<const float> ChannelBank::mean_spectrum(std::size_t c) {
  const ChannelBins& channel = plan_.channels[c];
  assert(sound_windows_[c] > 0);
  const float share = 1.0F / static_cast<float>(sound_windows_[c]);
  for (std::size_t k = 0; k < channel.count; ++k) {
    spectrum_[k] = share * look_power_[channel.lane + k / kLane].v[k % kLane];
  }
  return {spectrum_.data(), channel.count};
}

void ChannelBank::covariance(std::size_t c, std::size_t first, std::size_t last,
                             Eigen::MatrixXcd& out) const {
  const ChannelBins& channel = plan_.channels[c];
  const double share = 1.0 / static_cast<double>(windows_[c]);
  const auto n = static_cast<Eigen::Index>(elements_);
  out.resize(n, n);
  const Lane* re = look_cross_.data() + 2 * channel.lane * pairs_;
  for (Eigen::Index a = 0; a < n; ++a) {
    for (Eigen::Index b = a; b < n; ++b, re += 2 * channel.lanes) {
      std::complex<double> sum;
      for (std::size_t k = first; k <= last; ++k) {
        sum += std::complex<double>(re[k / kLane].v[k % kLane],
                                    re[channel.lanes + k / kLane].v[k % kLane]);
      }
      out(a, b) = share * sum;
      out(b, a) = std::conj(out(a, b));
    }
  }
}

}  // namespace fixwright::agent::detect
