#pragma once
/// Which channels a stream's sampled band lets us watch.

#include <string>
#include <vector>

#include "station_agent/detect/rules.hpp"
#include "station_agent/source/iq/sample_stream.hpp"
#include "station_agent/source/plan_board.hpp"

namespace fixwright::agent::iq {

/// The middle of the band that is used: at its edges the receiver's filter falls.
inline constexpr double kUsableShare = 0.9;

bool is_within(const detect::WatchedChannel& channel, const StreamFormat& format);

struct ChannelChoice {
  std::vector<detect::WatchedChannel> channels;  // ascending
  std::string complaint;                         // one line, or empty
};

/// The listed channels, else those of the plan, as far as they lie within the band.
ChannelChoice choose_channels(const std::vector<detect::WatchedChannel>& listed,
                              const std::vector<PlannedChannel>& plan, const StreamFormat& format);

/// The centre that lets the most of these channels be watched at this rate, the lowest of equals;
/// 0 when there is none. Where the middle of the band comes within 1 % of the rate of a channel's
/// own, the lowest channel goes to the band's edge instead: receivers have a line of their own in
/// the middle.
double best_centre_hz(const std::vector<detect::WatchedChannel>& wanted, double rate_hz);

}  // namespace fixwright::agent::iq
