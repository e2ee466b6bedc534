#include "server/ingest/channel_map.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <set>
#include <string_view>
#include <tuple>
#include <utility>

#include "server/ingest/bearing_checks.hpp"

namespace fixwright::ingest {

namespace {

double lower_edge_hz(const Channel& c) { return c.frequency_hz - c.bandwidth_hz / 2.0; }
double upper_edge_hz(const Channel& c) { return c.frequency_hz + c.bandwidth_hz / 2.0; }

/// What is wrong with a channel by itself.
std::optional<std::string> channel_problem(const Channel& c) {
  if (c.id < 1 || c.id >= ChannelMap::kFirstRasterChannel) {
    return fmt::format("channel {}: id must be 1 to 999999", c.id);
  }
  if (!(c.frequency_hz > 0.0 && c.frequency_hz <= kMaxFrequencyHz)) {
    return fmt::format("channel {}: frequency_hz = {}: must be in (0, 3e11]", c.id, c.frequency_hz);
  }
  if (!(c.bandwidth_hz > 0.0 && lower_edge_hz(c) >= 0.0)) {
    return fmt::format(
        "channel {}: bandwidth_hz = {}: must be above 0 and at most twice the "
        "frequency",
        c.id, c.bandwidth_hz);
  }
  return std::nullopt;
}

std::optional<std::string> repeated_name_or_id(const std::vector<Channel>& plan) {
  std::set<ChannelId> ids;
  std::set<std::string_view> names;
  for (const Channel& c : plan) {
    if (!ids.insert(c.id).second) return fmt::format("channel {}: the id is given twice", c.id);
    if (!names.insert(c.name).second) {
      return fmt::format("channel {}: the name \"{}\" is given twice", c.id, c.name);
    }
  }
  return std::nullopt;
}

/// \pre by frequency.
std::optional<std::string> overlap(const std::vector<Channel>& plan) {
  for (std::size_t i = 1; i < plan.size(); ++i) {
    const Channel& below = plan[i - 1];
    const Channel& above = plan[i];
    // Edges that touch are rounded differently on the two sides: forgive a millihertz.
    if (upper_edge_hz(below) <= lower_edge_hz(above) + 1e-3) continue;
    return fmt::format(
        "channels {} and {} overlap: {} Hz is above {} Hz; a frequency must have "
        "one channel, narrow one of them",
        below.id, above.id, upper_edge_hz(below), lower_edge_hz(above));
  }
  return std::nullopt;
}

}  // namespace

ChannelMap::ChannelMap(std::vector<Channel> by_frequency, double raster_hz)
    : plan_(std::move(by_frequency)), by_id_(plan_.size()), raster_hz_(raster_hz) {
  std::iota(by_id_.begin(), by_id_.end(), std::size_t{0});
  std::sort(by_id_.begin(), by_id_.end(),
            [this](std::size_t a, std::size_t b) { return plan_[a].id < plan_[b].id; });
}

Result<ChannelMap> ChannelMap::make(std::vector<Channel> plan, double raster_hz) {
  if (!(raster_hz >= 1.0 && raster_hz <= 1e9)) {
    return Error{fmt::format("raster_hz = {}: must be 1 to 1e9", raster_hz)};
  }
  for (const Channel& c : plan) {
    if (auto problem = channel_problem(c)) return Error{*problem};
  }
  if (auto problem = repeated_name_or_id(plan)) return Error{*problem};
  std::sort(plan.begin(), plan.end(), [](const Channel& a, const Channel& b) {
    return std::tie(a.frequency_hz, a.id) < std::tie(b.frequency_hz, b.id);
  });
  if (auto problem = overlap(plan)) return Error{*problem};
  return ChannelMap(std::move(plan), raster_hz);
}

ChannelId ChannelMap::channel_of(double frequency_hz) const {
  // The only planned channel that can hold it is the last one whose lower edge is not above.
  auto above = std::upper_bound(plan_.begin(), plan_.end(), frequency_hz,
                                [](double hz, const Channel& c) { return hz < lower_edge_hz(c); });
  if (above != plan_.begin()) {
    const Channel& candidate = *std::prev(above);
    if (frequency_hz < upper_edge_hz(candidate)) return candidate.id;
  }
  return kFirstRasterChannel + std::llround(frequency_hz / raster_hz_);
}

bool ChannelMap::fits(ChannelId channel, double frequency_hz) const {
  if (channel >= kFirstRasterChannel) return channel == channel_of(frequency_hz);
  const Channel* c = planned(channel);
  return c != nullptr && std::abs(frequency_hz - c->frequency_hz) <= c->bandwidth_hz;
}

const Channel* ChannelMap::planned(ChannelId channel) const {
  const auto at =
      std::lower_bound(by_id_.begin(), by_id_.end(), channel,
                       [this](std::size_t i, ChannelId id) { return plan_[i].id < id; });
  if (at == by_id_.end() || plan_[*at].id != channel) return nullptr;
  return &plan_[*at];
}

}  // namespace fixwright::ingest
