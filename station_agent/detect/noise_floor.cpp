#include "station_agent/detect/noise_floor.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace fixwright::agent::detect {
namespace {

constexpr double kEnoughWindows = 24.0;     // of an interval; where there are more, some are passed
constexpr std::size_t kFirstWindows = 10;   // for the first floor, looked at one by one
constexpr std::size_t kSpanOfChannels = 8;  // how far round a channel, in its own width
constexpr std::size_t kSmallestSpan = 128;  // bins
constexpr std::size_t kFewestFree = 32;     // bins
constexpr std::size_t kEveryBin = 4;        // is enough for an element's noise
constexpr double kQuartile = 0.25;
constexpr double kNormalAtQuartile = -0.67449;
constexpr double kLeast = 1e-30;  // of a floor: digital silence has none, and ratios need one

float quartile(std::vector<float>& values, std::size_t count) {
  const auto nth = static_cast<std::ptrdiff_t>(kQuartile * static_cast<double>(count));
  std::nth_element(values.begin(), values.begin() + nth,
                   values.begin() + static_cast<std::ptrdiff_t>(count));
  return values[static_cast<std::size_t>(nth)];
}

double windows_in(const BinPlan& plan, Duration interval) {
  return seconds(interval) * plan.rate_hz / static_cast<double>(plan.hop);
}

/// From each window to each fourth: what is left is enough for a quartile, and cheap.
std::uint64_t every(const BinPlan& plan, Duration interval) {
  return static_cast<std::uint64_t>(
      std::clamp(std::floor(windows_in(plan, interval) / kEnoughWindows), 1.0, 4.0));
}

bool is_faulty(std::uint32_t faulty, std::size_t e) { return (faulty >> e & 1U) != 0; }

}  // namespace

double lower_quartile_of_noise(double averages) {
  const double v = 1.0 / (9.0 * averages);
  const double cube_root = 1.0 - v + kNormalAtQuartile * std::sqrt(v);
  return cube_root * cube_root * cube_root;
}

NoiseFloor::NoiseFloor(const BinPlan& plan, std::size_t elements, Duration interval)
    : plan_(plan),
      elements_(elements),
      every_(every(plan, interval)),
      windows_wanted_(std::max(
          kFirstWindows, static_cast<std::size_t>(std::llround(windows_in(plan, interval) /
                                                               static_cast<double>(every_))))),
      sums_(elements * plan.size / kLane),
      mean_(plan.size),
      picked_(plan.size),
      free_(plan.size),
      floor_(plan.channels.size()),
      element_floor_(elements),
      history_(plan.channels.size() * kMedianOf) {}

bool NoiseFloor::wants(std::uint64_t window) const { return !ready() || window % every_ == 0; }

void NoiseFloor::add(std::size_t e, const float* spectrum) {
  const double size = static_cast<double>(plan_.size);
  const auto scale = static_cast<float>(1.0 / (0.375 * size * size));  // as in ChannelBank
  add_whole_power(spectrum, plan_.size / kLane, scale, sums_.data() + e * plan_.size / kLane);
}

bool NoiseFloor::window_done(std::uint32_t faulty_elements, std::span<const std::uint8_t> open) {
  ++windows_;
  if (windows_ < (ready() ? windows_wanted_ : kFirstWindows)) {
    return false;
  }
  estimate(faulty_elements, open);
  std::fill(sums_.begin(), sums_.end(), Lane{});
  windows_ = 0;
  return true;
}

void NoiseFloor::estimate(std::uint32_t faulty_elements, std::span<const std::uint8_t> open) {
  mean_of_sound(faulty_elements);
  mark_free(open);
  for (std::size_t c = 0; c < plan_.channels.size(); ++c) {
    remember(c, round_channel(plan_.channels[c]));
  }
  element_noise();
  floors_known_ = std::min(floors_known_ + 1, kMedianOf);
}

/// Where no element is sound, all count: a floor there must be.
void NoiseFloor::mean_of_sound(std::uint32_t faulty_elements) {
  std::fill(mean_.begin(), mean_.end(), 0.0F);
  const bool none_sound = (~faulty_elements & ((1ULL << elements_) - 1)) == 0;
  sound_ = 0;
  for (std::size_t e = 0; e < elements_; ++e) {
    if (none_sound || !is_faulty(faulty_elements, e)) {
      ++sound_;
      for (std::size_t k = 0; k < plan_.size; ++k) {
        mean_[k] += sum(e, k);
      }
    }
  }
}

std::size_t NoiseFloor::index(std::ptrdiff_t bin) const {
  return static_cast<std::size_t>(bin) & (plan_.size - 1);
}

void NoiseFloor::mark_free(std::span<const std::uint8_t> open) {
  std::fill(free_.begin(), free_.end(), std::uint8_t{1});
  for (std::size_t c = 0; c < open.size(); ++c) {
    const ChannelBins& bins = plan_.channels[c];
    for (std::size_t i = 0; open[c] != 0 && i < bins.count; ++i) {
      free_[index(bins.first + static_cast<std::ptrdiff_t>(i))] = 0;
    }
  }
}

/// Free bins from low to high (not beyond the band) into picked_. \return how many.
std::size_t NoiseFloor::gather(std::ptrdiff_t low, std::ptrdiff_t high) {
  const auto half = static_cast<std::ptrdiff_t>(plan_.size / 2);
  std::size_t count = 0;
  for (std::ptrdiff_t k = std::max(low, -half); k <= std::min(high, half - 1); ++k) {
    if (free_[index(k)] != 0) {
      picked_[count++] = mean_[index(k)];
    }
  }
  return count;
}

double NoiseFloor::round_channel(const ChannelBins& bins) {
  const auto middle = bins.first + static_cast<std::ptrdiff_t>(bins.count / 2);
  std::size_t span = std::min(plan_.size, std::max(kSmallestSpan, kSpanOfChannels * bins.count));
  std::size_t count = 0;
  while (true) {
    const auto half = static_cast<std::ptrdiff_t>(span / 2);
    count = gather(middle - half, middle + half);
    if (count >= span / 2 || span >= 2 * plan_.size) {
      break;
    }
    span *= 2;
  }
  if (count < kFewestFree) {
    count = plan_.size;
    std::copy(mean_.begin(), mean_.end(), picked_.begin());
  }
  const double averages = static_cast<double>(windows_ * sound_);
  return std::max(kLeast, quartile(picked_, count) / averages / lower_quartile_of_noise(averages));
}

void NoiseFloor::element_noise() {
  const auto averages = static_cast<double>(windows_);
  for (std::size_t e = 0; e < elements_; ++e) {
    std::size_t count = 0;
    for (std::size_t k = 0; k < plan_.size; k += kEveryBin) {
      picked_[count++] = sum(e, k);
    }
    element_floor_[e] = quartile(picked_, count) / averages / lower_quartile_of_noise(averages);
  }
}

void NoiseFloor::remember(std::size_t c, double floor) {
  double* history = history_.data() + c * kMedianOf;
  std::copy_backward(history, history + kMedianOf - 1, history + kMedianOf);
  history[0] = floor;
  const std::size_t known = std::min(floors_known_ + 1, kMedianOf);
  std::array<double, kMedianOf> sorted{};
  std::copy_n(history, known, sorted.begin());
  std::sort(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(known));
  floor_[c] = sorted[known / 2];
}

std::span<const double> NoiseFloor::of_elements() const {
  return ready() ? std::span<const double>(element_floor_) : std::span<const double>{};
}

}  // namespace fixwright::agent::detect
