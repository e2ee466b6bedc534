#include "server/register/register_csv.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <iterator>
#include <sstream>
#include <string_view>
#include <utility>

#include "server/base/csv.hpp"
#include "server/register/row_reader.hpp"

namespace fixwright::register_ {

namespace {

constexpr std::string_view kNeeded[] = {"id", "latitude", "longitude", "frequency"};

/// The header's columns, or why they can't be used.
Result<CsvColumns> read_columns(CsvReader& reader, const RegisterMapping& mapping) {
  const auto header = reader.next();
  if (!header)
    return Error{fmt::format("{}: is empty; the first line must name the columns", reader.name())};
  if (!*header) return Error{header->error()};
  std::vector<std::string_view> required;
  std::vector<std::string_view> optional;
  for (const std::string_view field : kRegisterFields) {
    const auto mapped = mapping.columns.find(field);
    if (mapped == mapping.columns.end()) continue;
    const bool needed = std::ranges::find(kNeeded, field) != std::end(kNeeded);
    auto& list = needed || !mapping.columns_may_lack ? required : optional;
    list.insert(list.end(), mapped->second.begin(), mapped->second.end());
  }
  return CsvColumns::find(**header, required, optional, reader.name());
}

RegisterCsv read_rows(CsvReader& reader, const CsvColumns& columns,
                      const RegisterMapping& mapping) {
  RegisterCsv csv;
  std::set<std::string> ids;
  while (const auto row = reader.next()) {
    if (!*row) {
      csv.refused.push_back(row->error());
      continue;
    }
    RowReader fields{mapping, columns, **row};
    Licence licence = fields.licence();
    if (fields.problem().empty() && !ids.insert(licence.id).second) {
      fields.refuse("id", licence.id, "is in the file twice; the first row was kept");
    }
    if (fields.problem().empty()) {
      csv.licences.push_back(std::move(licence));
      continue;
    }
    csv.refused.push_back(fmt::format("{}:{}: {}", reader.name(), (*row)->line, fields.problem()));
    if (!licence.id.empty()) csv.refused_ids.insert(licence.id);
  }
  return csv;
}

}  // namespace

Result<RegisterCsv> read_register_csv(std::istream& in, const std::string& name,
                                      const RegisterMapping& mapping) {
  std::istringstream converted;
  if (mapping.latin1) {
    const std::string bytes{std::istreambuf_iterator<char>{in}, {}};
    converted.str(utf8_of_latin1(bytes));
  }
  CsvFormat format;
  format.separator = mapping.separator;
  std::istream& text = mapping.latin1 ? static_cast<std::istream&>(converted) : in;
  CsvReader reader{text, name, format};
  const auto columns = read_columns(reader, mapping);
  if (!columns) return Error{columns.error()};
  return read_rows(reader, *columns, mapping);
}

}  // namespace fixwright::register_
