#pragma once
/// Time as every stage sees it: UTC, integer nanoseconds, RFC 3339 at the edges.

#include <chrono>
#include <string>
#include <string_view>

#include "server/base/result.hpp"

namespace fixwright {

using Duration = std::chrono::nanoseconds;
/// Nanoseconds since 1970-01-01T00:00:00Z, leap seconds not counted; years 1678 to 2261.
using TimePoint = std::chrono::sys_time<std::chrono::nanoseconds>;

/// Seconds as a double, for arithmetic with rates; never for identity or ordering.
inline double seconds(Duration d) { return std::chrono::duration<double>(d).count(); }

/// Nearest nanosecond. \pre |s| < 9e9.
Duration from_seconds(double s);

/// Reads an RFC 3339 date-time: "2031-05-04T10:15:02.25Z" or with a numeric offset.
/// A missing zone, a leap second and a fraction past nanoseconds are refused, not guessed.
Result<TimePoint> parse_rfc3339(std::string_view text);

/// Writes UTC with `fraction_digits` (0 to 9) digits of the second, truncated, and "Z".
std::string format_rfc3339(TimePoint t, int fraction_digits = 3);

}  // namespace fixwright
