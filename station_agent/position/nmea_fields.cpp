#include "station_agent/position/nmea_fields.hpp"

#include <fmt/core.h>

#include "server/base/csv.hpp"
#include "server/base/text.hpp"

namespace fixwright::agent {

namespace {

constexpr double kMetresPerSecondInKnot = 1852.0 / 3600.0;  // the international nautical mile

bool all_digits(std::string_view text) {
  return text.find_first_not_of("0123456789") == std::string_view::npos;
}

int two_digits(std::string_view text, std::size_t at) {
  return 10 * (text[at] - '0') + (text[at + 1] - '0');
}

}  // namespace

std::string_view NmeaFields::text(std::size_t field) const {
  return field < sentence_.fields.size() ? std::string_view(sentence_.fields[field])
                                         : std::string_view();
}

void NmeaFields::complain(std::size_t field, std::string_view rule) {
  if (error_) return;
  error_ = fmt::format("NMEA {}{}: field {} \"{}\": {}", sentence_.talker, sentence_.type,
                       field + 1, one_line(text(field), 40), rule);
}

std::optional<double> NmeaFields::number(std::size_t field, double least, double most) {
  if (text(field).empty()) return std::nullopt;
  const auto value = parse_number(text(field));
  if (value && *value >= least && *value <= most) return value;
  complain(field, fmt::format("must be a number, {} to {}", least, most));
  return std::nullopt;
}

std::optional<Duration> NmeaFields::time_of_day(std::size_t field) {
  const std::string_view t = text(field);
  if (t.empty()) return std::nullopt;
  const auto second = t.size() >= 6 ? parse_number(t.substr(4)) : std::nullopt;
  const bool shaped = second && all_digits(t.substr(0, 6)) && *second >= 0.0 && *second < 61.0;
  if (!shaped || two_digits(t, 0) > 23 || two_digits(t, 2) > 59) {
    complain(field, "must be a time, hhmmss.ss");
    return std::nullopt;
  }
  return std::chrono::hours{two_digits(t, 0)} + std::chrono::minutes{two_digits(t, 2)} +
         from_seconds(*second);
}

std::optional<std::chrono::sys_days> NmeaFields::date(std::size_t field) {
  const std::string_view t = text(field);
  if (t.empty()) return std::nullopt;
  if (t.size() == 6 && all_digits(t)) {
    const std::chrono::year_month_day day{
        std::chrono::year{2000 + two_digits(t, 4)},
        std::chrono::month{static_cast<unsigned>(two_digits(t, 2))},
        std::chrono::day{static_cast<unsigned>(two_digits(t, 0))}};
    if (day.ok()) return std::chrono::sys_days{day};
  }
  complain(field, "must be a date, ddmmyy");
  return std::nullopt;
}

/// Degrees and minutes, and the next field's hemisphere.
std::optional<double> NmeaFields::degrees(std::size_t field, std::string_view positive,
                                          std::string_view negative, double most_deg) {
  const std::string_view t = text(field);
  const std::string_view hemisphere = text(field + 1);
  if (t.empty() && hemisphere.empty()) return std::nullopt;
  const std::size_t whole = std::min(t.find('.'), t.size());
  const bool shaped = whole >= 3 && whole <= 5 && all_digits(t.substr(0, whole));
  const auto whole_deg = shaped ? parse_number(t.substr(0, whole - 2)) : std::nullopt;
  const auto minutes = shaped ? parse_number(t.substr(whole - 2)) : std::nullopt;
  if (!whole_deg || !minutes || *minutes >= 60.0 || *whole_deg + *minutes / 60.0 > most_deg) {
    complain(field, "must be degrees and minutes, ddmm.mm");
    return std::nullopt;
  }
  if (hemisphere != positive && hemisphere != negative) {
    complain(field + 1, fmt::format("must be {} or {}", positive, negative));
    return std::nullopt;
  }
  const double value = *whole_deg + *minutes / 60.0;
  return hemisphere == negative ? -value : value;
}

std::optional<GeoPoint> NmeaFields::position(std::size_t first) {
  const auto latitude = degrees(first, "N", "S", 90.0);
  const auto longitude = degrees(first + 2, "E", "W", 180.0);
  if (!latitude || !longitude) return std::nullopt;
  return GeoPoint{*latitude, wrap_180(*longitude)};
}

std::optional<double> NmeaFields::azimuth(std::size_t field) {
  const auto value = number(field, 0.0, 360.0);
  return value ? std::optional(wrap_360(*value)) : std::nullopt;
}

std::optional<double> NmeaFields::east_or_west(std::size_t first) {
  const auto value = number(first, 0.0, 180.0);
  if (!value) return std::nullopt;
  if (text(first + 1) == "E") return value;
  if (text(first + 1) == "W") return -*value;
  complain(first + 1, "must be E or W");
  return std::nullopt;
}

std::optional<double> NmeaFields::speed_from_knots(std::size_t field) {
  const auto knots = number(field, 0.0, 2000.0);
  return knots ? std::optional(*knots * kMetresPerSecondInKnot) : std::nullopt;
}

bool NmeaFields::is_valid(std::size_t status, std::size_t mode) const {
  // Before version 2.0 GLL had no status.
  return (text(status) == "A" || status >= sentence_.fields.size()) && is_real(mode);
}

bool NmeaFields::is_real(std::size_t mode) const {
  const std::string_view m = text(mode);
  return m != "N" && m != "M" && m != "S";
}

}  // namespace fixwright::agent
