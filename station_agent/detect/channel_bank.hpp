#pragma once
/// The bins of all channels over one analysis step, and what is summed of them over a look.

#include <Eigen/Core>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "station_agent/detect/bin_plan.hpp"
#include "station_agent/detect/lanes.hpp"

namespace fixwright::agent::detect {

/// Powers are scaled so that a carrier of amplitude 1 has 1 in the sum of its bins.
class ChannelBank {
 public:
  ChannelBank(const BinPlan& plan, std::size_t elements);

  /// Takes all channels' bins of element e out of window w of the step.
  void take(std::size_t e, std::size_t w, const float* bin0);
  /// The step is whole: sums each bin's power over its windows and the sound elements.
  void sum_powers(std::uint32_t faulty_elements);
  /// Mean power of the channel in the step, all its bins together, mean of the sound elements.
  [[nodiscard]] double power(std::size_t c) const;

  /// A look's sums of channel c: emptied, or the step's added.
  void clear(std::size_t c);
  void add_step(std::size_t c);
  [[nodiscard]] std::size_t windows(std::size_t c) const { return windows_[c]; }
  [[nodiscard]] std::size_t sound_elements() const { return sound_; }
  /// Mean power of each of the look's bins. Valid until the next call. \pre windows(c) > 0.
  std::span<const float> mean_spectrum(std::size_t c);
  /// Mean of x x^H over the look's bins first to last.
  void covariance(std::size_t c, std::size_t first, std::size_t last, Eigen::MatrixXcd& out) const;

 private:
  [[nodiscard]] Bins bins(std::size_t c, std::size_t e) const;
  [[nodiscard]] Lane* pair_sum(std::size_t c, std::size_t pair);

  const BinPlan& plan_;
  std::size_t elements_;
  std::size_t pairs_;
  float scale_;
  std::size_t sound_;
  std::vector<Lane> step_;        // [window][element][re, im][lanes of all channels]
  std::vector<Lane> step_power_;  // [lanes of all channels]
  std::vector<Lane> look_power_;
  std::vector<Lane> look_cross_;  // channel after channel: [pair][re, im][lanes of the channel]
  std::vector<std::size_t> windows_;
  std::vector<std::size_t> sound_windows_;  // sum over the windows of the sound elements
  std::vector<float> spectrum_;
};

}  // namespace fixwright::agent::detect
