#include "server/tools/reference_csv.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <optional>

#include "server/base/csv.hpp"

namespace fixwright::tools {

namespace {

constexpr std::array<std::string_view, 4> kRequired{"name", "latitude", "longitude",
                                                    "frequency_hz"};
constexpr std::array<std::string_view, 1> kOptional{"position_sigma_m"};

struct NumberRule {
  std::string_view column;
  double min = 0.0;
  double max = 0.0;
  std::optional<double> fallback;
};

class RowReader {
 public:
  RowReader(const CsvColumns& columns, const std::string& file) : columns_(columns), file_(file) {}

  Result<ReferenceTransmitter> read(const CsvRow& row) const {
    ReferenceTransmitter t;
    t.name = std::string{columns_.field(row, "name")};
    if (t.name.empty()) return problem(row, "name", "must not be empty");
    const std::array<std::pair<NumberRule, double*>, 4> numbers{
        {{{"latitude", -90.0, 90.0, {}}, &t.position.latitude_deg},
         {{"longitude", -180.0, 180.0, {}}, &t.position.longitude_deg},
         {{"frequency_hz", 1.0, 1e12, {}}, &t.frequency_hz},
         {{"position_sigma_m", 0.1, 1e5, t.position_sigma_m}, &t.position_sigma_m}}};
    for (const auto& [rule, value] : numbers) {
      const auto number = number_of(row, rule);
      if (!number) {
        return problem(row, rule.column,
                       fmt::format("must be a number from {:.10g} to {:.10g}", rule.min, rule.max));
      }
      *value = *number;
    }
    if (t.position.longitude_deg == 180.0) t.position.longitude_deg = -180.0;
    return t;
  }

  [[nodiscard]] Error problem(const CsvRow& row, std::string_view column,
                              std::string_view rule) const {
    return Error{fmt::format("{}:{}: {} = \"{}\": {}. Nothing was calibrated.", file_, row.line,
                             column, columns_.field(row, column).substr(0, 40), rule)};
  }

 private:
  [[nodiscard]] std::optional<double> number_of(const CsvRow& row, const NumberRule& rule) const {
    const auto field = columns_.field(row, rule.column);
    if (field.empty() && rule.fallback) return rule.fallback;
    const auto value = parse_number(field);
    return value && *value >= rule.min && *value <= rule.max ? value : std::nullopt;
  }

  const CsvColumns& columns_;
  const std::string& file_;
};

}  // namespace

Result<std::vector<ReferenceTransmitter>> read_reference_csv(std::istream& in,
                                                             const std::string& name) {
  CsvReader reader{in, name};
  const auto header = reader.next();
  if (!header) {
    return Error{fmt::format("{}: is empty; the first line must name the columns", name)};
  }
  if (!*header) return Error{header->error()};
  const auto columns = CsvColumns::find(**header, kRequired, kOptional, name);
  if (!columns) return Error{columns.error()};

  const RowReader rows{*columns, name};
  std::vector<ReferenceTransmitter> references;
  while (const auto record = reader.next()) {
    if (!*record) return Error{record->error()};
    const auto row = rows.read(**record);
    if (!row) return Error{row.error()};
    if (std::ranges::find(references, row->name, &ReferenceTransmitter::name) != references.end()) {
      return rows.problem(**record, "name", "is in the file twice");
    }
    references.push_back(*row);
  }
  return references;
}

}  // namespace fixwright::tools
