#include "station_agent/listen/live_board.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include "server/base/angle.hpp"

namespace fixwright::agent::listen {

namespace {

constexpr std::size_t kRemembered = 32;
constexpr std::size_t kFewestForSpread = 3;
constexpr std::string_view kLetters = "123456789abcdefghijklmnopqrstuvwxyz";

double reach_hz(const SourceBearing& b) {
  return std::clamp(b.bandwidth_hz.value_or(0.0) / 2.0, 3e3, 100e3);
}

std::optional<double> spread_of(const std::deque<double>& azimuths_deg) {
  if (azimuths_deg.size() < kFewestForSpread) return std::nullopt;
  double east = 0.0;
  double north = 0.0;
  for (const double a : azimuths_deg) {
    east += std::sin(a * kDegToRad);
    north += std::cos(a * kDegToRad);
  }
  const double length = std::hypot(east, north) / static_cast<double>(azimuths_deg.size());
  // Rounding makes the mean of equal vectors a little longer than 1.
  return std::sqrt(-2.0 * std::log(std::clamp(length, 1e-9, 1.0))) * kRadToDeg;
}

}  // namespace

void LiveBoard::add(const SourceBearing& bearing, TimePoint now) {
  forget(now);
  Entry& e = entry_of(bearing);
  e.azimuths_deg.push_back(bearing.azimuth_deg);
  if (e.azimuths_deg.size() > kRemembered) e.azimuths_deg.pop_front();
  e.channel.last = bearing;
  e.channel.heard_at = now;
  ++e.channel.bearings;
  e.channel.spread_deg = spread_of(e.azimuths_deg);
}

LiveBoard::Entry& LiveBoard::entry_of(const SourceBearing& bearing) {
  const auto distance_hz = [&](const Entry& e) {
    return std::abs(e.channel.last.frequency_hz - bearing.frequency_hz);
  };
  const auto nearest = std::min_element(
      entries_.begin(), entries_.end(),
      [&](const Entry& a, const Entry& b) { return distance_hz(a) < distance_hz(b); });
  if (nearest != entries_.end() && distance_hz(*nearest) <= reach_hz(bearing)) return *nearest;
  Entry fresh;
  fresh.channel.letter = free_letter();
  return entries_.emplace_back(std::move(fresh));
}

char LiveBoard::free_letter() const {
  for (const char letter : kLetters) {
    const bool taken = std::any_of(entries_.begin(), entries_.end(),
                                   [&](const Entry& e) { return e.channel.letter == letter; });
    if (!taken) return letter;
  }
  return '+';
}

void LiveBoard::forget(TimePoint now) {
  std::erase_if(entries_, [&](const Entry& e) { return now - e.channel.heard_at > keep_; });
}

std::vector<LiveChannel> LiveBoard::channels(TimePoint now) {
  forget(now);
  std::vector<LiveChannel> all;
  for (const Entry& e : entries_) all.push_back(e.channel);
  std::sort(all.begin(), all.end(), [](const LiveChannel& a, const LiveChannel& b) {
    return a.last.frequency_hz < b.last.frequency_hz;
  });
  return all;
}

}  // namespace fixwright::agent::listen
