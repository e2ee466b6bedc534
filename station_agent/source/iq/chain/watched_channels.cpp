#include "station_agent/source/iq/chain/watched_channels.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace fixwright::agent::iq {

namespace {

double low_edge_hz(const detect::WatchedChannel& c) {
  return c.frequency_hz - c.bandwidth_hz / 2.0;
}
double high_edge_hz(const detect::WatchedChannel& c) {
  return c.frequency_hz + c.bandwidth_hz / 2.0;
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

}  // namespace

bool is_within(const detect::WatchedChannel& channel, const StreamFormat& format) {
  const double half_hz = kUsableShare * format.rate_hz / 2.0;
  return low_edge_hz(channel) >= format.centre_hz - half_hz &&
         high_edge_hz(channel) <= format.centre_hz + half_hz;
}

ChannelChoice choose_channels(const std::vector<detect::WatchedChannel>& listed,
                              const std::vector<PlannedChannel>& plan, const StreamFormat& format) {
  ChannelChoice choice;
  std::vector<detect::WatchedChannel> wanted = listed;
  if (wanted.empty()) {
    for (const PlannedChannel& c : plan) wanted.push_back({c.frequency_hz, c.bandwidth_hz});
  }
  for (const detect::WatchedChannel& c : wanted) {
    if (is_within(c, format)) {
      choice.channels.push_back(c);
    } else if (!listed.empty()) {
      choice.complaint = fmt::format(
          "source.iq.channel at {:.6f} MHz is not watched: it lies outside the sampled band",
          c.frequency_hz / 1e6);
    }
  }
  std::sort(choice.channels.begin(), choice.channels.end(),
            [](const auto& a, const auto& b) { return a.frequency_hz < b.frequency_hz; });
  if (choice.channels.empty()) {
    choice.complaint = nothing_watched(!listed.empty(), !plan.empty(), format);
  }
  return choice;
}

double best_centre_hz(const std::vector<detect::WatchedChannel>& wanted, double rate_hz) {
  double best_hz = 0.0;
  double best_count = 0.0;
  for (const detect::WatchedChannel& lowest : wanted) {
    // With this one at the lower edge; then as far down as the highest within allows.
    StreamFormat format;
    format.rate_hz = rate_hz;
    format.centre_hz = low_edge_hz(lowest) + kUsableShare * rate_hz / 2.0;
    double top_hz = high_edge_hz(lowest);
    double count = 0.0;
    for (const detect::WatchedChannel& c : wanted) {
      if (!is_within(c, format)) continue;
      count += 1.0;
      top_hz = std::max(top_hz, high_edge_hz(c));
    }
    const double middle_hz = (low_edge_hz(lowest) + top_hz) / 2.0;
    const auto clear = [&](double centre_hz) {
      return std::none_of(wanted.begin(), wanted.end(), [&](const auto& c) {
        return std::abs(c.frequency_hz - centre_hz) < 0.01 * rate_hz;
      });
    };
    if (count <= best_count) continue;
    best_count = count;
    best_hz = clear(middle_hz) ? middle_hz : format.centre_hz;
  }
  return best_hz;
}

}  // namespace fixwright::agent::iq
