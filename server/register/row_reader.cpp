#include "server/register/row_reader.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "server/register/emission.hpp"

namespace fixwright::register_ {

namespace {

/// \pre within [-180, 180]. The model's longitude excludes 180.
double model_longitude(double deg) { return deg == 180.0 ? -180.0 : deg; }

/// Hertz of a number with a unit: 156.8 MHz must not become 156800000.00000001.
double hertz(double value, double unit_hz) { return std::round(value * unit_hz * 1e3) / 1e3; }

}  // namespace

RowReader::RowReader(const RegisterMapping& mapping, const CsvColumns& columns, const CsvRow& row)
    : mapping_(mapping), columns_(columns), row_(row) {
  if (row.fields.size() != columns.width()) {
    problem_ = fmt::format("fields = \"{}\": must be {}, as in the header", row.fields.size(),
                           columns.width());
  }
}

std::string RowReader::text(std::string_view field) const {
  const auto mapped = mapping_.columns.find(field);
  if (mapped == mapping_.columns.end()) return {};
  std::string joined;
  for (const std::string& column : mapped->second) {
    const std::string_view part = columns_.field(row_, column);
    if (!joined.empty() && !part.empty()) joined += ' ';
    joined += part;
  }
  return joined;
}

std::string RowReader::column_of(std::string_view field) const {
  const auto mapped = mapping_.columns.find(field);
  if (mapped == mapping_.columns.end()) return std::string{field};
  std::string joined;
  for (const std::string& column : mapped->second) {
    joined += (joined.empty() ? "" : " + ") + column;
  }
  return joined;
}

void RowReader::refuse(std::string_view field, std::string_view value, std::string_view rule) {
  if (problem_.empty())
    problem_ = fmt::format("{} = \"{}\": {}", column_of(field), value.substr(0, 60), rule);
}

double RowReader::number(std::string_view field, Range range, std::optional<double> fallback) {
  const std::string written = text(field);
  if (written.empty() && fallback) return *fallback;
  std::string plain = written;
  if (mapping_.decimal_comma) std::ranges::replace(plain, ',', '.');
  const auto value = parse_number(plain);
  if (value && *value >= range.min && *value <= range.max) return *value;
  refuse(field, written,
         fmt::format("must be a number from {:.10g} to {:.10g}", range.min, range.max));
  return range.min;
}

double RowReader::angle(std::string_view field, Axis axis) {
  const std::string written = text(field);
  std::string plain = written;
  if (mapping_.decimal_comma) std::ranges::replace(plain, ',', '.');
  const auto deg = read_angle(plain, mapping_.angles, axis);
  if (deg) return *deg;
  refuse(field, written, angle_rule(mapping_.angles, axis));
  return 0.0;
}

std::optional<TimePoint> RowReader::time(std::string_view field) {
  const std::string written = text(field);
  if (written.empty()) return std::nullopt;
  const auto value = read_date(written, mapping_.date_format);
  if (value) return value;
  refuse(field, written,
         mapping_.date_format == "rfc3339"
             ? "must be RFC 3339, like 2031-05-04T00:00:00Z"
             : fmt::format("must be a date as {}", mapping_.date_format));
  return std::nullopt;
}

std::optional<double> RowReader::power_w() {
  if (text("power").empty()) return std::nullopt;
  constexpr double kMostW = 1e9;
  switch (mapping_.power_unit) {
    case PowerUnit::kw:
      return 1e3 * number("power", {0.0, kMostW / 1e3});
    case PowerUnit::dbw:
      return std::pow(10.0, number("power", {-90.0, 90.0}) / 10.0);
    case PowerUnit::dbm:
      return std::pow(10.0, (number("power", {-60.0, 120.0}) - 30.0) / 10.0);
    case PowerUnit::w:
      break;
  }
  return number("power", {0.0, kMostW});
}

void RowReader::read_position(Licence& l) {
  l.position.latitude_deg = angle("latitude", Axis::latitude);
  l.position.longitude_deg = model_longitude(angle("longitude", Axis::longitude));
  const double stated_m = number("position_sigma", {0.0, 1e5}, mapping_.position_sigma_m);
  l.position_sigma_m =
      mapping_.datum_sigma_m > 0.0 ? std::hypot(stated_m, mapping_.datum_sigma_m) : stated_m;
}

/// A block's edges, or a centre with the width that the row states or its emission needs.
void RowReader::read_band(Licence& l) {
  const double unit_hz = mapping_.frequency_unit_hz;
  const Range range{1.0 / unit_hz, 1e12 / unit_hz};
  double designated_hz = 0.0;
  if (const std::string written = text("emission"); !written.empty()) {
    const auto emission = parse_emission(written);
    if (!emission) {
      refuse("emission", written, emission.error());
    } else {
      designated_hz = emission->bandwidth_hz.value_or(0.0);
      l.emission = written;
    }
  }
  l.frequency_hz = hertz(number("frequency", range), unit_hz);
  const double width_unit_hz = mapping_.bandwidth_unit_hz;
  l.bandwidth_hz = text("bandwidth").empty()
                       ? designated_hz
                       : hertz(number("bandwidth", {0.0, 1e10 / width_unit_hz}), width_unit_hz);
  if (text("frequency_to").empty()) return;
  const double upper_hz = hertz(number("frequency_to", range), unit_hz);
  if (upper_hz < l.frequency_hz) {
    refuse("frequency_to", text("frequency_to"), "must not be below " + column_of("frequency"));
  }
  l.bandwidth_hz = upper_hz - l.frequency_hz;
  l.frequency_hz = 0.5 * (l.frequency_hz + upper_hz);
}

void RowReader::read_validity(Licence& l) {
  l.valid_from = time("valid_from");
  l.valid_until = time("valid_until");
  if (l.valid_until && mapping_.until_included) *l.valid_until += std::chrono::days{1};
  if (l.valid_from && l.valid_until && *l.valid_until <= *l.valid_from) {
    refuse("valid_until", text("valid_until"), "must be after " + column_of("valid_from"));
  }
}

Licence RowReader::licence() {
  Licence l;
  l.id = text("id");
  if (l.id.empty()) refuse("id", "", "must not be empty");
  l.holder = text("holder");
  l.service = text("service");
  read_position(l);
  read_band(l);
  read_validity(l);
  l.power_w = power_w();
  return l;
}

}  // namespace fixwright::register_
