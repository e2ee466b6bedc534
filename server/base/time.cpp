#include "server/base/time.hpp"

#include <fmt/core.h>

#include <cmath>
#include <optional>

#include "server/base/text.hpp"

namespace fixwright {

namespace {

using std::chrono::day;
using std::chrono::month;
using std::chrono::sys_days;
using std::chrono::year;
using std::chrono::year_month_day;

/// Exactly `width` digits at the front of `rest`, taken off it.
std::optional<int> take_digits(std::string_view& rest, std::size_t width) {
  int value = 0;
  if (rest.size() < width) return std::nullopt;
  for (const char c : rest.substr(0, width)) {
    if (c < '0' || c > '9') return std::nullopt;
    value = value * 10 + (c - '0');
  }
  rest.remove_prefix(width);
  return value;
}

bool take_char(std::string_view& rest, std::string_view any_of) {
  if (rest.empty() || any_of.find(rest.front()) == std::string_view::npos) return false;
  rest.remove_prefix(1);
  return true;
}

/// ".25" as nanoseconds; an absent fraction is 0. More than nine digits is refused.
std::optional<Duration> take_fraction(std::string_view& rest) {
  if (!take_char(rest, ".")) return Duration{0};
  std::int64_t ns = 0;
  int digits = 0;
  while (!rest.empty() && rest.front() >= '0' && rest.front() <= '9') {
    if (++digits > 9) return std::nullopt;
    ns = ns * 10 + (rest.front() - '0');
    rest.remove_prefix(1);
  }
  if (digits == 0) return std::nullopt;
  for (; digits < 9; ++digits) ns *= 10;
  return Duration{ns};
}

/// "Z" or "+hh:mm": how far local time is ahead of UTC.
std::optional<std::chrono::minutes> take_offset(std::string_view& rest) {
  if (take_char(rest, "Zz")) return std::chrono::minutes{0};
  const bool west = !rest.empty() && rest.front() == '-';
  if (!take_char(rest, "+-")) return std::nullopt;
  const auto hours = take_digits(rest, 2);
  if (!hours || *hours > 23 || !take_char(rest, ":")) return std::nullopt;
  const auto minutes = take_digits(rest, 2);
  if (!minutes || *minutes > 59) return std::nullopt;
  const std::chrono::minutes ahead{*hours * 60 + *minutes};
  return west ? -ahead : ahead;
}

std::optional<sys_days> take_date(std::string_view& rest) {
  const auto y = take_digits(rest, 4);
  if (!y || !take_char(rest, "-")) return std::nullopt;
  const auto m = take_digits(rest, 2);
  if (!m || !take_char(rest, "-")) return std::nullopt;
  const auto d = take_digits(rest, 2);
  if (!d) return std::nullopt;
  const year_month_day date{year{*y}, month{static_cast<unsigned>(*m)},
                            day{static_cast<unsigned>(*d)}};
  if (!date.ok() || *y < 1678 || *y > 2261) return std::nullopt;
  return sys_days{date};
}

std::optional<std::chrono::seconds> take_time_of_day(std::string_view& rest) {
  const auto h = take_digits(rest, 2);
  if (!h || *h > 23 || !take_char(rest, ":")) return std::nullopt;
  const auto m = take_digits(rest, 2);
  if (!m || *m > 59 || !take_char(rest, ":")) return std::nullopt;
  const auto s = take_digits(rest, 2);
  if (!s || *s > 59) return std::nullopt;
  return std::chrono::seconds{*h * 3600 + *m * 60 + *s};
}

std::optional<TimePoint> take_date_time(std::string_view rest) {
  const auto date = take_date(rest);
  if (!date || !take_char(rest, "Tt ")) return std::nullopt;
  const auto time = take_time_of_day(rest);
  if (!time) return std::nullopt;
  const auto fraction = take_fraction(rest);
  if (!fraction) return std::nullopt;
  const auto offset = take_offset(rest);
  if (!offset || !rest.empty()) return std::nullopt;
  return TimePoint{*date} + *time + *fraction - *offset;
}

}  // namespace

Duration from_seconds(double s) { return Duration{std::llround(s * 1e9)}; }

Result<TimePoint> parse_rfc3339(std::string_view text) {
  if (const auto t = take_date_time(text)) return *t;
  return Error{fmt::format("time \"{}\" is not RFC 3339, like 2031-05-04T10:15:02.250Z",
                           one_line(text, 40))};
}

std::string format_rfc3339(TimePoint t, int fraction_digits) {
  const auto midnight = std::chrono::floor<std::chrono::days>(t);
  const year_month_day date{midnight};
  const std::chrono::hh_mm_ss<Duration> time{t - midnight};
  std::string text =
      fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", static_cast<int>(date.year()),
                  static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                  time.hours().count(), time.minutes().count(), time.seconds().count());
  if (fraction_digits > 0) {
    const std::string ns = fmt::format("{:09}", time.subseconds().count());
    text += "." + ns.substr(0, static_cast<std::size_t>(fraction_digits));
  }
  return text + "Z";
}

}  // namespace fixwright
