#pragma once
/// From a frequency to the channel it belongs to.

#include <span>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/channel.hpp"

namespace fixwright::ingest {

/// Channels of the plan by frequency; what no planned channel holds belongs to the raster:
/// 1 000 000 + round(frequency / raster). A channel holds [centre - width/2, centre + width/2).
/// Immutable, safe to share between threads.
class ChannelMap {
 public:
  /// Raster channels begin here; planned ids lie below.
  static constexpr ChannelId kFirstRasterChannel = 1'000'000;

  /// The operator's mistakes come back as one line: an id outside 1 to 999 999 or given twice,
  /// a name given twice, a frequency or width out of range, channels that overlap.
  /// \param raster_hz  width of an unplanned channel, 1 Hz to 1 GHz.
  static Result<ChannelMap> make(std::vector<Channel> plan, double raster_hz);

  /// \pre frequency_hz is finite and > 0.
  [[nodiscard]] ChannelId channel_of(double frequency_hz) const;

  /// Whether a station may say that this frequency is on this channel: within one width of
  /// the centre, because a station measures the signal and not the plan.
  [[nodiscard]] bool fits(ChannelId channel, double frequency_hz) const;

  /// The channel as planned, or as the raster makes it; nothing for an id that is neither.
  [[nodiscard]] const Channel* planned(ChannelId channel) const;

  [[nodiscard]] std::span<const Channel> plan() const { return plan_; }  // by frequency
  [[nodiscard]] double raster_hz() const { return raster_hz_; }

 private:
  ChannelMap(std::vector<Channel> by_frequency, double raster_hz);

  std::vector<Channel> plan_;       // by frequency, disjoint
  std::vector<std::size_t> by_id_;  // indices into plan_, by id
  double raster_hz_;
};

}  // namespace fixwright::ingest
