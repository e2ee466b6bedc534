#pragma once
/// Which bins of which transform belong to which channel.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "server/base/time.hpp"
#include "station_agent/detect/rules.hpp"

namespace fixwright::agent::detect {

/// Fewest bins that a channel can be judged by.
inline constexpr std::size_t kFewestBins = 4;

struct ChannelBins {
  std::ptrdiff_t first = 0;  // signed: bin 0 is the centre frequency
  std::size_t count = 0;
  std::size_t lane = 0;   // where its bins stand among those of all channels
  std::size_t lanes = 0;  // whole lanes; what is past `count` is not the channel's
  /// Where `first` stands from bin 0 in Fft's memory: negative bins follow the positive ones there,
  /// but for channels on both sides of bin 0.
  std::ptrdiff_t place = 0;
};

struct BinPlan {
  std::size_t size = 0;   // of the transform
  std::size_t hop = 0;    // frames from window to window: half a size
  std::size_t guard = 1;  // bins wanted before bin 0
  std::size_t step_windows = 0;
  double rate_hz = 0.0;
  double bin_hz = 0.0;
  std::size_t lanes = 0;  // of all channels
  std::vector<ChannelBins> channels;

  [[nodiscard]] std::size_t step_frames() const { return hop * step_windows; }
  [[nodiscard]] Duration step() const {
    return from_seconds(static_cast<double>(step_frames()) / rate_hz);
  }
};

/// Bins at most a sixteenth of the narrowest channel, unless a window would then be longer than
/// 8 ms. \pre config is sound but for channels with too few bins.
BinPlan plan_bins(const DetectorConfig& config);

}  // namespace fixwright::agent::detect
