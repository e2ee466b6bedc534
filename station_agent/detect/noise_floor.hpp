#pragma once
/// The noise floor of each channel and each element, from the whole spectrum.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "station_agent/detect/bin_plan.hpp"
#include "station_agent/detect/lanes.hpp"

namespace fixwright::agent::detect {

/// What the noise is in the lower quartile of n bins, each the mean of `averages` powers, over what
/// it is in the mean. Noise powers are exponential, their means gamma distributed; the quartile by
/// E. B. Wilson, M. M. Hilferty, PNAS 17 (1931) 684: 2 % off at 1 average, under 0.1 % from 10.
double lower_quartile_of_noise(double averages);

/// Looks at some windows for one floor interval; then each channel's floor is the lower quartile of
/// the bins round it that no open channel covers, so that neither a carrier nor many can raise it,
/// and of the last five such the median, so that a crash of static shorter than two intervals
/// doesn't. Where open channels leave too few bins, it looks further to both sides; where they
/// leave too few in all the band, everything has risen, and that is noise.
class NoiseFloor {
 public:
  NoiseFloor(const BinPlan& plan, std::size_t elements, Duration interval);

  /// Whether window number n (from 0, without gaps) is one to look at.
  [[nodiscard]] bool wants(std::uint64_t window) const;
  /// Adds bins 0 to size - 1 of element e; the neighbours of both ends must be there.
  void add(std::size_t e, const float* spectrum);
  /// All elements have been added. \param open  of each channel.
  /// \return true when a new floor has come of it.
  bool window_done(std::uint32_t faulty_elements, std::span<const std::uint8_t> open);

  [[nodiscard]] bool ready() const { return floors_known_ > 0; }
  /// Mean noise power of one bin of this channel, mean of the sound elements; > 0. \pre ready().
  [[nodiscard]] double of_channel(std::size_t c) const { return floor_[c]; }
  /// Noise of each element in one bin of the whole band, >= 0; empty until ready().
  [[nodiscard]] std::span<const double> of_elements() const;

 private:
  static constexpr std::size_t kMedianOf = 5;
  void estimate(std::uint32_t faulty_elements, std::span<const std::uint8_t> open);
  void mean_of_sound(std::uint32_t faulty_elements);
  void mark_free(std::span<const std::uint8_t> open);
  [[nodiscard]] double round_channel(const ChannelBins& bins);
  [[nodiscard]] float sum(std::size_t e, std::size_t k) const {
    return sums_[(e * plan_.size + k) / kLane].v[k % kLane];
  }
  std::size_t gather(std::ptrdiff_t low, std::ptrdiff_t high);
  void element_noise();
  void remember(std::size_t c, double floor);
  [[nodiscard]] std::size_t index(std::ptrdiff_t bin) const;

  const BinPlan& plan_;
  std::size_t elements_;
  std::uint64_t every_;
  std::size_t windows_wanted_;
  std::size_t windows_ = 0;
  std::size_t sound_ = 0;
  std::size_t floors_known_ = 0;
  std::vector<Lane> sums_;  // element after element
  std::vector<float> mean_;
  std::vector<float> picked_;
  std::vector<std::uint8_t> free_;
  std::vector<double> floor_;
  std::vector<double> element_floor_;
  std::vector<double> history_;  // channel c at [c * kMedianOf]
};

}  // namespace fixwright::agent::detect
