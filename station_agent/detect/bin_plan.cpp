#include "station_agent/detect/bin_plan.hpp"

#include <algorithm>
#include <cmath>

#include "station_agent/detect/lanes.hpp"

namespace fixwright::agent::detect {
namespace {

constexpr double kBinsOfNarrowest = 16.0;
constexpr double kLongestWindow_s = 8e-3;
constexpr std::size_t kSmallestSize = 64;

std::size_t transform_size(const DetectorConfig& config) {
  double narrowest_hz = config.rate_hz;
  for (const WatchedChannel& channel : config.channels) {
    narrowest_hz = std::min(narrowest_hz, channel.bandwidth_hz);
  }
  const double wanted = config.rate_hz * kBinsOfNarrowest / narrowest_hz;
  const double longest = config.rate_hz * kLongestWindow_s;
  std::size_t size = kSmallestSize;
  while (static_cast<double>(size) < wanted && 2.0 * static_cast<double>(size) <= longest) {
    size *= 2;
  }
  return size;
}

ChannelBins bins_of(const WatchedChannel& channel, double centre_hz, double bin_hz) {
  const double middle_hz = channel.frequency_hz - centre_hz;
  const double low = std::ceil((middle_hz - 0.5 * channel.bandwidth_hz) / bin_hz);
  const double high = std::floor((middle_hz + 0.5 * channel.bandwidth_hz) / bin_hz);
  ChannelBins bins;
  bins.first = static_cast<std::ptrdiff_t>(low);
  bins.count = static_cast<std::size_t>(std::max(0.0, high - low + 1.0));
  bins.lanes = lanes_for(bins.count);
  return bins;
}

/// Finds the channel's place in Fft's memory.
void place(ChannelBins& bins, BinPlan& plan) {
  const auto end = bins.first + static_cast<std::ptrdiff_t>(bins.lanes * kLane);
  const bool negative_alone = end < 0;
  bins.place = negative_alone ? bins.first + static_cast<std::ptrdiff_t>(plan.size) : bins.first;
  if (!negative_alone && bins.first <= 0) {
    plan.guard = std::max(plan.guard, static_cast<std::size_t>(1 - bins.first));
  }
}

}  // namespace

BinPlan plan_bins(const DetectorConfig& config) {
  BinPlan plan;
  plan.size = transform_size(config);
  plan.hop = plan.size / 2;
  plan.rate_hz = config.rate_hz;
  plan.bin_hz = config.rate_hz / static_cast<double>(plan.size);
  const double hops = seconds(config.rules.step) * config.rate_hz / static_cast<double>(plan.hop);
  plan.step_windows = static_cast<std::size_t>(std::max(1.0, std::round(hops)));
  for (const WatchedChannel& channel : config.channels) {
    ChannelBins bins = bins_of(channel, config.centre_hz, plan.bin_hz);
    bins.lane = plan.lanes;
    plan.lanes += bins.lanes;
    place(bins, plan);
    plan.channels.push_back(bins);
  }
  return plan;
}

}  // namespace fixwright::agent::detect
