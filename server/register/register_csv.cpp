#include "server/register/register_csv.hpp"

#include <fmt/core.h>

#include <array>
#include <set>
#include <string_view>
#include <utility>

#include "server/base/csv.hpp"

namespace fixwright::register_ {

namespace {

constexpr std::array<std::string_view, 4> kRequired{"id", "latitude", "longitude", "frequency_hz"};
constexpr std::array<std::string_view, 6> kOptional{
    "holder", "service", "position_sigma_m", "bandwidth_hz", "valid_from", "valid_until"};

struct Range {
  double min = 0.0;
  double max = 0.0;
};

/// Reads one row field by field; remembers the first thing that is wrong with it.
class RowReader {
 public:
  RowReader(const CsvColumns& columns, const CsvRow& row) : columns_(columns), row_(row) {}

  std::string text(std::string_view column) const {
    return std::string{columns_.field(row_, column)};
  }

  double number(std::string_view column, Range range, std::optional<double> fallback = {}) {
    const auto field = columns_.field(row_, column);
    if (field.empty() && fallback) return *fallback;
    const auto value = parse_number(field);
    if (value && *value >= range.min && *value <= range.max) return *value;
    refuse(column, field,
           fmt::format("must be a number from {:.10g} to {:.10g}", range.min, range.max));
    return range.min;
  }

  std::optional<TimePoint> time(std::string_view column) {
    const auto field = columns_.field(row_, column);
    if (field.empty()) return std::nullopt;
    const auto value = parse_rfc3339(field);
    if (value) return *value;
    refuse(column, field, "must be RFC 3339, like 2031-05-04T00:00:00Z");
    return std::nullopt;
  }

  void refuse(std::string_view column, std::string_view value, std::string_view rule) {
    if (problem_.empty())
      problem_ = fmt::format("{} = \"{}\": {}", column, value.substr(0, 60), rule);
  }
  [[nodiscard]] const std::string& problem() const { return problem_; }

 private:
  const CsvColumns& columns_;
  const CsvRow& row_;
  std::string problem_;
};

/// \pre within [-180, 180]. The model's longitude excludes 180.
double model_longitude(double deg) { return deg == 180.0 ? -180.0 : deg; }

Licence read_licence(RowReader& row, const RegisterCsvRules& rules) {
  Licence l;
  l.id = row.text("id");
  if (l.id.empty()) row.refuse("id", "", "must not be empty");
  l.holder = row.text("holder");
  l.service = row.text("service");
  l.position.latitude_deg = row.number("latitude", {-90.0, 90.0});
  l.position.longitude_deg = model_longitude(row.number("longitude", {-180.0, 180.0}));
  l.position_sigma_m = row.number("position_sigma_m", {0.0, 1e5}, rules.position_sigma_m);
  l.frequency_hz = row.number("frequency_hz", {1.0, 1e12});
  l.bandwidth_hz = row.number("bandwidth_hz", {0.0, 1e10}, 0.0);
  l.valid_from = row.time("valid_from");
  l.valid_until = row.time("valid_until");
  if (l.valid_from && l.valid_until && *l.valid_until <= *l.valid_from) {
    row.refuse("valid_until", row.text("valid_until"), "must be after valid_from");
  }
  return l;
}

/// The header's columns, or why they can't be used.
Result<CsvColumns> read_columns(CsvReader& reader) {
  const auto header = reader.next();
  if (!header)
    return Error{fmt::format("{}: is empty; the first line must name the columns", reader.name())};
  if (!*header) return Error{header->error()};
  return CsvColumns::find(**header, kRequired, kOptional, reader.name());
}

}  // namespace

Result<RegisterCsv> read_register_csv(std::istream& in, const std::string& name,
                                      const RegisterCsvRules& rules) {
  CsvReader reader{in, name};
  const auto columns = read_columns(reader);
  if (!columns) return Error{columns.error()};

  RegisterCsv csv;
  std::set<std::string> ids;
  while (const auto row = reader.next()) {
    if (!*row) {
      csv.refused.push_back(row->error());
      continue;
    }
    RowReader fields{*columns, **row};
    if ((*row)->fields.size() != columns->width()) {
      fields.refuse("fields", std::to_string((*row)->fields.size()),
                    fmt::format("must be {}, as in the header", columns->width()));
    }
    Licence licence = read_licence(fields, rules);
    if (fields.problem().empty() && !ids.insert(licence.id).second) {
      fields.refuse("id", licence.id, "is in the file twice; the first row was kept");
    }
    if (fields.problem().empty()) {
      csv.licences.push_back(std::move(licence));
    } else {
      csv.refused.push_back(fmt::format("{}:{}: {}", name, (*row)->line, fields.problem()));
    }
  }
  return csv;
}

}  // namespace fixwright::register_
