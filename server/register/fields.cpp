#include "server/register/fields.hpp"

#include <fmt/core.h>

#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <vector>

#include "server/base/csv.hpp"

namespace fixwright::register_ {

namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

double limit_deg(Axis axis) { return axis == Axis::latitude ? 90.0 : 180.0; }

/// +1 or -1 for a letter of the axis, 0 for any other.
int side_of(char c, Axis axis) {
  const std::string_view letters = axis == Axis::latitude ? "NnSs" : "EeWw";
  const auto at = letters.find(c);
  if (at == std::string_view::npos) return 0;
  return at < 2 ? 1 : -1;
}

std::optional<double> signed_angle(double deg, int side, Axis axis) {
  if (deg > limit_deg(axis)) return std::nullopt;
  return side < 0 ? -deg : deg;
}

/// Degrees, minutes and seconds, as many as there are, as text.
std::optional<double> join_parts(const std::vector<std::string>& parts) {
  if (parts.empty() || parts.size() > 3) return std::nullopt;
  double deg = 0.0;
  double unit = 1.0;
  for (std::size_t i = 0; i < parts.size(); ++i, unit /= 60.0) {
    const bool last = i + 1 == parts.size();
    if (!last && parts[i].find('.') != std::string::npos) return std::nullopt;
    const auto value = parse_number(parts[i]);
    if (!value || (i > 0 && *value >= 60.0)) return std::nullopt;
    deg += *value * unit;
  }
  return deg;
}

/// A sign in front, or a letter of the axis anywhere, once. 0: neither. Nothing: both, or a letter
/// that is of no axis.
std::optional<int> find_side(std::string_view text, Axis axis) {
  int side = text.starts_with('-') ? -1 : text.starts_with('+') ? 1 : 0;
  for (const char c : text) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    if (!letter) continue;
    if (side != 0 || side_of(c, axis) == 0) return std::nullopt;
    side = side_of(c, axis);
  }
  return side;
}

std::optional<double> read_dms(std::string_view text, Axis axis) {
  const auto side = find_side(text, axis);
  if (!side) return std::nullopt;
  std::vector<std::string> parts;
  bool inside = false;
  for (const char c : text) {
    const bool of_number = is_digit(c) || c == '.';
    if (of_number && !inside) parts.emplace_back();
    if (of_number) parts.back() += c;
    inside = of_number;
  }
  const auto deg = join_parts(parts);
  return deg ? signed_angle(*deg, *side, axis) : std::nullopt;
}

/// Two digits a part but for the degrees; a letter may stand at either end or after the degrees.
std::optional<double> read_packed(std::string_view text, Axis axis) {
  const auto side = find_side(text, axis);
  if (!side) return std::nullopt;
  std::string digits;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool sign = i == 0 && (text[i] == '-' || text[i] == '+');
    if (is_digit(text[i]) || text[i] == '.') {
      digits += text[i];
    } else if (!sign && side_of(text[i], axis) == 0) {
      return std::nullopt;
    }
  }
  const std::size_t of_degrees = axis == Axis::latitude ? 2 : 3;
  const std::size_t whole = std::min(digits.find('.'), digits.size());
  if (whole != of_degrees + 2 && whole != of_degrees + 4) return std::nullopt;
  std::vector<std::string> parts{digits.substr(0, of_degrees), digits.substr(of_degrees, 2)};
  if (whole == of_degrees + 4) {
    parts.push_back(digits.substr(of_degrees + 2));
  } else {
    parts.back() = digits.substr(of_degrees);
  }
  const auto deg = join_parts(parts);
  return deg ? signed_angle(*deg, *side, axis) : std::nullopt;
}

constexpr std::array<std::string_view, 6> kDateParts{"YYYY", "MM", "DD", "hh", "mm", "ss"};

struct Date {
  std::array<int, 6> parts{0, 0, 0, 0, 0, 0};
};

std::optional<std::size_t> date_part_at(std::string_view format) {
  for (std::size_t i = 0; i < kDateParts.size(); ++i) {
    if (format.starts_with(kDateParts[i])) return i;
  }
  return std::nullopt;
}

std::optional<Date> take_date(std::string_view text, std::string_view format) {
  Date date;
  while (!format.empty()) {
    const auto part = date_part_at(format);
    const std::size_t length = part ? kDateParts[*part].size() : 1;
    if (text.size() < length) return std::nullopt;
    if (part) {
      const char* const end = text.data() + length;
      const auto [stop, fault] = std::from_chars(text.data(), end, date.parts[*part]);
      if (fault != std::errc{} || stop != end || text[0] == '-') return std::nullopt;
    } else if (text[0] != format[0]) {
      return std::nullopt;
    }
    text.remove_prefix(length);
    format.remove_prefix(length);
  }
  return text.empty() ? std::optional{date} : std::nullopt;
}

}  // namespace

std::optional<double> read_angle(std::string_view text, AngleForm form, Axis axis) {
  if (form == AngleForm::dms) return read_dms(text, axis);
  if (form == AngleForm::packed) return read_packed(text, axis);
  const auto deg = parse_number(text);
  if (!deg || std::abs(*deg) > limit_deg(axis)) return std::nullopt;
  return deg;
}

std::string angle_rule(AngleForm form, Axis axis) {
  const double limit = limit_deg(axis);
  const bool latitude = axis == Axis::latitude;
  if (form == AngleForm::dms) {
    return fmt::format("must be degrees, minutes and seconds to {} degrees, like {}", limit,
                       latitude ? "41 11 35.5 N" : "150 18 45.5 W");
  }
  if (form == AngleForm::packed) {
    return fmt::format("must be degrees, minutes and seconds to {} degrees, like {}", limit,
                       latitude ? "411135N or 41N1135" : "1501845W or 150W1845");
  }
  return fmt::format("must be a number from {} to {}", -limit, limit);
}

bool is_date_format(std::string_view format) {
  if (format == "rfc3339") return true;
  std::array<int, 6> seen{0, 0, 0, 0, 0, 0};
  while (!format.empty()) {
    const auto part = date_part_at(format);
    if (part) ++seen[*part];
    format.remove_prefix(part ? kDateParts[*part].size() : 1);
  }
  return seen[0] == 1 && seen[1] == 1 && seen[2] == 1 && seen[3] <= 1 && seen[4] <= 1 &&
         seen[5] <= 1;
}

std::optional<TimePoint> read_date(std::string_view text, std::string_view format) {
  if (format == "rfc3339") {
    const auto time = parse_rfc3339(text);
    if (!time) return std::nullopt;
    return std::chrono::floor<std::chrono::microseconds>(*time);  // as the database keeps it
  }
  const auto date = take_date(text, format);
  if (!date) return std::nullopt;
  const auto& [year, month, day, hour, minute, second] = date->parts;
  const std::chrono::year_month_day ymd{std::chrono::year{year},
                                        std::chrono::month{static_cast<unsigned>(month)},
                                        std::chrono::day{static_cast<unsigned>(day)}};
  constexpr int kFirstYear = 1700;  // a TimePoint holds 1678 to 2261
  constexpr int kLastYear = 2200;
  if (!ymd.ok() || year < kFirstYear || year > kLastYear || hour > 23 || minute > 59 ||
      second > 59) {
    return std::nullopt;
  }
  return TimePoint{std::chrono::sys_days{ymd}} + std::chrono::hours{hour} +
         std::chrono::minutes{minute} + std::chrono::seconds{second};
}

std::string utf8_of_latin1(std::string_view bytes) {
  std::string text;
  text.reserve(bytes.size());
  for (const char c : bytes) {
    const auto code = static_cast<std::uint8_t>(c);
    if (code < 0x80U) {
      text += c;
    } else {
      text += static_cast<char>(0xC0U | (code >> 6U));
      text += static_cast<char>(0x80U | (code & 0x3FU));
    }
  }
  return text;
}

}  // namespace fixwright::register_
