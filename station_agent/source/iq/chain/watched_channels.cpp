#include "station_agent/source/iq/chain/watched_channels.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fixwright::agent::iq {

namespace {

double low_edge_hz(const detect::WatchedChannel& c) {
  return c.frequency_hz - c.bandwidth_hz / 2.0;
}
double high_edge_hz(const detect::WatchedChannel& c) {
  return c.frequency_hz + c.bandwidth_hz / 2.0;
}
bool is_lower(const detect::WatchedChannel& a, const detect::WatchedChannel& b) {
  return a.frequency_hz < b.frequency_hz;
}

std::string nothing_watched(bool has_list, bool has_plan, const StreamFormat& format) {
  const double half_hz = kUsableShare * format.rate_hz / 2.0;
  return fmt::format(
      "nothing is watched: {} between {:.6f} and {:.6f} MHz, the usable part of the sampled band; "
      "list some in [[source.iq.channel]], or tune elsewhere",
      has_list ? "none of source.iq.channel lies"
               : (has_plan ? "no channel of the server's plan lies"
                           : "the server's plan has come with no channel"),
      (format.centre_hz - half_hz) / 1e6, (format.centre_hz + half_hz) / 1e6);
}

constexpr std::size_t kNamed = 8;

/// Frequencies in MHz, the first few of them.
std::string names_of(const std::vector<detect::WatchedChannel>& channels) {
  std::string text;
  for (std::size_t i = 0; i < std::min(channels.size(), kNamed); ++i) {
    text += fmt::format("{}{:.6f}", i == 0 ? "" : ", ", channels[i].frequency_hz / 1e6);
  }
  if (channels.size() > kNamed) text += fmt::format(" and {} more", channels.size() - kNamed);
  return text + " MHz";
}

/// How far the middle of a band is from what is to be heard.
struct Clearance {
  double from_edge_hz = 0.0;  // of the nearest channel; below 0: within it
  double from_own_hz = 0.0;   // middle of the nearest channel
};

Clearance clearance_of(const std::vector<detect::WatchedChannel>& channels, double centre_hz) {
  Clearance c{std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};
  for (const detect::WatchedChannel& channel : channels) {
    const double from_own_hz = std::abs(channel.frequency_hz - centre_hz);
    c.from_own_hz = std::min(c.from_own_hz, from_own_hz);
    c.from_edge_hz = std::min(c.from_edge_hz, from_own_hz - channel.bandwidth_hz / 2.0);
  }
  return c;
}

/// All centres at which the channels, ascending, are within the band and may be clear of its
/// middle; in the order of preference.
std::vector<double> centres_for(const std::vector<detect::WatchedChannel>& channels,
                                double rate_hz) {
  double top_hz = 0.0;
  double bottom_hz = std::numeric_limits<double>::infinity();
  for (const detect::WatchedChannel& c : channels) {
    top_hz = std::max(top_hz, high_edge_hz(c));
    bottom_hz = std::min(bottom_hz, low_edge_hz(c));
  }
  const double half_hz = kUsableShare * rate_hz / 2.0;
  const double middle_hz = (bottom_hz + top_hz) / 2.0;
  // A receiver tunes in steps: what stands at the edge stays within by this much, if there is room.
  const double play_hz = std::min(0.005 * rate_hz, half_hz - (top_hz - bottom_hz) / 2.0);
  const double highest_hz = bottom_hz + half_hz - play_hz;
  const double lowest_hz = top_hz - half_hz + play_hz;
  std::vector<double> centres{middle_hz, highest_hz, lowest_hz};
  for (std::size_t i = 1; i < channels.size(); ++i) {
    const double between_hz = (high_edge_hz(channels[i - 1]) + low_edge_hz(channels[i])) / 2.0;
    if (between_hz >= lowest_hz && between_hz <= highest_hz) centres.push_back(between_hz);
  }
  return centres;
}

double clearest_centre_hz(const std::vector<detect::WatchedChannel>& channels, double rate_hz) {
  const std::vector<double> centres = centres_for(channels, rate_hz);
  for (std::size_t i = 0; i < 3; ++i) {
    const Clearance c = clearance_of(channels, centres[i]);
    if (c.from_edge_hz >= 0.0 && c.from_own_hz >= 0.01 * rate_hz) return centres[i];
  }
  return *std::max_element(centres.begin(), centres.end(), [&](double a_hz, double b_hz) {
    return clearance_of(channels, a_hz).from_edge_hz < clearance_of(channels, b_hz).from_edge_hz;
  });
}

}  // namespace

bool is_within(const detect::WatchedChannel& channel, const StreamFormat& format) {
  const double half_hz = kUsableShare * format.rate_hz / 2.0;
  return low_edge_hz(channel) >= format.centre_hz - half_hz &&
         high_edge_hz(channel) <= format.centre_hz + half_hz;
}

std::vector<detect::WatchedChannel> wanted_channels(
    const std::vector<detect::WatchedChannel>& listed, const std::vector<PlannedChannel>& plan) {
  if (!listed.empty()) return listed;
  std::vector<detect::WatchedChannel> wanted;
  for (const PlannedChannel& c : plan) wanted.push_back({c.frequency_hz, c.bandwidth_hz});
  return wanted;
}

ChannelChoice choose_channels(const std::vector<detect::WatchedChannel>& listed,
                              const std::vector<PlannedChannel>& plan, const StreamFormat& format,
                              bool tuned) {
  ChannelChoice choice;
  std::vector<detect::WatchedChannel> left_out;
  for (const detect::WatchedChannel& c : wanted_channels(listed, plan)) {
    (is_within(c, format) ? choice.channels : left_out).push_back(c);
  }
  std::sort(choice.channels.begin(), choice.channels.end(), is_lower);
  std::sort(left_out.begin(), left_out.end(), is_lower);
  if (choice.channels.empty()) {
    choice.complaint = nothing_watched(!listed.empty(), !plan.empty(), format);
  } else if (!left_out.empty() && (tuned || !listed.empty())) {
    choice.complaint = fmt::format(
        "{}: not watched: {}: outside the sampled band; watch fewer, or sample at a higher rate",
        listed.empty() ? "the server's plan" : "source.iq.channel", names_of(left_out));
  }
  return choice;
}

double best_centre_hz(const std::vector<detect::WatchedChannel>& wanted, double rate_hz) {
  std::vector<detect::WatchedChannel> ascending = wanted;
  std::sort(ascending.begin(), ascending.end(), is_lower);
  std::vector<detect::WatchedChannel> best;
  for (const detect::WatchedChannel& lowest : ascending) {
    std::vector<detect::WatchedChannel> held;
    for (const detect::WatchedChannel& c : ascending) {
      const bool holds = low_edge_hz(c) >= low_edge_hz(lowest) &&
                         high_edge_hz(c) - low_edge_hz(lowest) <= kUsableShare * rate_hz;
      if (holds) held.push_back(c);
    }
    if (held.size() > best.size()) best = std::move(held);
  }
  return best.empty() ? 0.0 : clearest_centre_hz(best, rate_hz);
}

}  // namespace fixwright::agent::iq
