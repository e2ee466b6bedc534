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

/// What is wanted: the listed channels, else those of the plan.
std::vector<detect::WatchedChannel> wanted_channels(
    const std::vector<detect::WatchedChannel>& listed, const std::vector<PlannedChannel>& plan);

/// The wanted channels, as far as they lie within the band. The complaint names those that do not:
/// of the listed always, of the plan only where the stream was `tuned` to hold it, since a receiver
/// that stands still is not expected to hear the whole plan.
ChannelChoice choose_channels(const std::vector<detect::WatchedChannel>& listed,
                              const std::vector<PlannedChannel>& plan, const StreamFormat& format,
                              bool tuned);

/// The centre that lets the most of these channels be watched at this rate, the lowest of equals;
/// 0 when there is none. Receivers have a line of their own in the middle of the band. So where
/// that would come within a channel, or within 1 % of the rate of a channel's own middle, the
/// lowest channel goes to the lower edge instead, or the highest to the upper one; where channels
/// stand so close that none of it helps, the middle goes as far from their edges as these three and
/// the places halfway between two neighbours allow.
double best_centre_hz(const std::vector<detect::WatchedChannel>& wanted, double rate_hz);

}  // namespace fixwright::agent::iq
