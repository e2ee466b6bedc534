#include "station_agent/clock/chrony_tracking.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <vector>

namespace fixwright::agent {

namespace {

constexpr std::size_t kFields = 14;
constexpr double kMissedUpdates = 8.0;
constexpr double kMostSeconds = 4e9;  // past any clock; keeps nanoseconds in range

std::vector<std::string_view> split(std::string_view line) {
  std::vector<std::string_view> fields;
  while (true) {
    const std::size_t comma = line.find(',');
    fields.push_back(line.substr(0, comma));
    if (comma == std::string_view::npos) return fields;
    line.remove_prefix(comma + 1);
  }
}

std::optional<double> number(std::string_view text) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool whole = error == std::errc{} && end == text.data() + text.size();
  if (!whole || !(std::abs(value) < kMostSeconds)) return std::nullopt;
  return value;
}

bool is_reference(std::string_view id, std::string_view leap) {
  constexpr std::string_view kOwnClock = "7F7F0101";  // 127.127.1.1, of the `local` directive
  constexpr std::string_view kNone = "00000000";
  return id != kOwnClock && id != kNone && leap != "Not synchronised";
}

}  // namespace

std::optional<ChronyTracking> parse_tracking(std::string_view line) {
  while (!line.empty() && (line.back() == '\n' || line.back() == '\r')) line.remove_suffix(1);
  const auto fields = split(line);
  if (fields.size() != kFields || fields[0].size() != 8 || fields[13].empty()) return std::nullopt;
  const auto time = number(fields[3]);
  const auto offset = number(fields[4]);
  const auto delay = number(fields[10]);
  const auto dispersion = number(fields[11]);
  const auto interval = number(fields[12]);
  if (!time || !offset || !delay || !dispersion || !interval) return std::nullopt;
  if (*dispersion < 0.0 || *interval < 0.0) return std::nullopt;
  ChronyTracking t;
  t.synchronised = is_reference(fields[0], fields[13]);
  t.reference_time = TimePoint{from_seconds(*time)};
  t.offset_s = *offset;
  t.root_delay_s = std::max(*delay, 0.0);  // a reference clock's may be a rounding below 0
  t.root_dispersion_s = *dispersion;
  t.update_interval_s = *interval;
  return t;
}

ClockReading reading_of(const ChronyTracking& t, TimePoint now) {
  if (!t.synchronised) return {ClockState::unsynchronised, kUnknownClockError};
  const double bound_s = std::abs(t.offset_s) + t.root_dispersion_s + 0.5 * t.root_delay_s;
  const Duration error = std::min(from_seconds(bound_s), kUnknownClockError);
  const double silent_s = seconds(now - t.reference_time);
  const bool lost = silent_s > kMissedUpdates * std::max(t.update_interval_s, 1.0);
  const bool holds = lost || error > kHoldoverError;
  return {holds ? ClockState::holdover : ClockState::synchronised, error, ClockReference::chrony};
}

}  // namespace fixwright::agent
