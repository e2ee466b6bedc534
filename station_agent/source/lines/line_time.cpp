#include "station_agent/source/lines/line_time.hpp"

#include <fmt/core.h>

#include <charconv>
#include <cstdint>
#include <optional>

#include "server/base/text.hpp"

namespace fixwright::agent {

namespace {

struct UnixUnit {
  std::string_view name;
  std::int64_t ns;
};

UnixUnit unit_of(TimeFormat format) {
  switch (format) {
    case TimeFormat::unix_ms:
      return {"milliseconds", 1'000'000};
    case TimeFormat::unix_us:
      return {"microseconds", 1'000};
    case TimeFormat::unix_ns:
      return {"nanoseconds", 1};
    default:
      return {"seconds", 1'000'000'000};
  }
}

/// ".25" of a unit in nanoseconds, cut; digits only.
std::optional<std::int64_t> fraction_ns(std::string_view digits, std::int64_t unit_ns) {
  std::int64_t ns = 0;
  for (const char c : digits) {
    if (c < '0' || c > '9') return std::nullopt;
    unit_ns /= 10;
    ns += (c - '0') * unit_ns;
  }
  return ns;
}

/// Digit by digit, since a double of a unix time is good to a quarter of a microsecond only.
std::optional<std::int64_t> decimal_ns(std::string_view text, std::int64_t unit_ns) {
  const std::size_t point = text.find('.');
  const std::string_view whole = text.substr(0, point);
  std::int64_t units = 0;
  const auto [end, code] = std::from_chars(whole.data(), whole.data() + whole.size(), units);
  if (code != std::errc{} || end != whole.data() + whole.size() || units < 0) return std::nullopt;
  const auto fraction =
      fraction_ns(point == std::string_view::npos ? "" : text.substr(point + 1), unit_ns);
  if (!fraction || units > (INT64_MAX - *fraction) / unit_ns) return std::nullopt;
  return units * unit_ns + *fraction;
}

}  // namespace

Result<TimePoint> parse_sender_time(std::string_view text, TimeFormat format) {
  if (format == TimeFormat::rfc3339) {
    auto time = parse_rfc3339(text);
    if (!time) return Error{one_line(time.error())};
    return time;
  }
  const UnixUnit unit = unit_of(format);
  if (const auto ns = decimal_ns(text, unit.ns)) return TimePoint{Duration{*ns}};
  return Error{fmt::format("time \"{}\": must be {} since 1970, by source.lines.time.format",
                           one_line(text, 40), unit.name)};
}

}  // namespace fixwright::agent
