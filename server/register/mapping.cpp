#include "server/register/mapping.hpp"

#include <algorithm>

#include "server/base/config.hpp"
#include "server/register/fields.hpp"

namespace fixwright::register_ {

namespace {

std::string trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(' ');
  if (first == std::string_view::npos) return {};
  return std::string{text.substr(first, text.find_last_not_of(' ') - first + 1)};
}

/// "lat_deg + lat_min" names two columns.
std::vector<std::string> column_names(std::string_view text) {
  std::vector<std::string> names;
  for (std::size_t from = 0; from <= text.size();) {
    const auto end = std::min(text.find(" + ", from), text.size());
    if (auto name = trimmed(text.substr(from, end - from)); !name.empty()) {
      names.push_back(std::move(name));
    }
    from = end + 3;
  }
  return names;
}

std::string one_of(const ConfigTable& table, std::string_view key,
                   std::vector<std::string> allowed) {
  TextRule rule;
  rule.fallback = allowed.front();
  rule.one_of = std::move(allowed);
  return table.text(key, rule);
}

double unit_hz(const ConfigTable& table, std::string_view key) {
  const std::string unit = one_of(table, key, {"Hz", "kHz", "MHz", "GHz"});
  return unit == "Hz" ? 1.0 : unit == "kHz" ? 1e3 : unit == "MHz" ? 1e6 : 1e9;
}

PowerUnit power_unit(const ConfigTable& table) {
  const std::string unit = one_of(table, "power", {"W", "kW", "dBW", "dBm"});
  return unit == "W"     ? PowerUnit::w
         : unit == "kW"  ? PowerUnit::kw
         : unit == "dBW" ? PowerUnit::dbw
                         : PowerUnit::dbm;
}

void read_file(const ConfigTable& table, RegisterMapping& mapping) {
  mapping.latin1 = one_of(table, "encoding", {"UTF-8", "Latin-1"}) == "Latin-1";
  mapping.decimal_comma = table.flag("decimal_comma", false);
  TextRule rule;
  rule.fallback = ",";
  const std::string separator = table.text("separator", rule);
  if (separator == "tab") {
    mapping.separator = '\t';
  } else if (separator.size() == 1 && separator != "\"") {
    mapping.separator = separator[0];
  } else {
    table.complain("separator", "must be one character, or \"tab\"");
  }
}

void read_columns(const ConfigTable& table, RegisterMapping& mapping) {
  for (const std::string_view field : kRegisterFields) {
    auto names = column_names(table.text(field));
    if (!names.empty()) mapping.columns.emplace(field, std::move(names));
  }
  for (const std::string_view needed : {"id", "latitude", "longitude", "frequency"}) {
    if (!mapping.columns.contains(needed)) {
      table.complain(needed, "must name the column that holds it");
    }
  }
}

void read_position(const ConfigTable& table, RegisterMapping& mapping) {
  const std::string form = one_of(table, "form", {"decimal", "dms", "packed"});
  mapping.angles = form == "decimal" ? AngleForm::decimal
                   : form == "dms"   ? AngleForm::dms
                                     : AngleForm::packed;
  const bool nad83 = one_of(table, "datum", {"WGS84", "NAD83"}) == "NAD83";
  mapping.datum_sigma_m = nad83 ? kNad83Sigma_m : 0.0;
  mapping.position_sigma_m =
      table.number("sigma_m", {.min = 0, .max = 1e5, .fallback = mapping.position_sigma_m});
}

void read_dates(const ConfigTable& table, RegisterMapping& mapping) {
  TextRule rule;
  rule.fallback = mapping.date_format;
  mapping.date_format = table.text("format", rule);
  if (!is_date_format(mapping.date_format)) {
    table.complain("format", "must be rfc3339, or hold YYYY, MM and DD once each, like DD.MM.YYYY");
  }
  mapping.until_included = table.flag("until_included", false);
}

}  // namespace

RegisterMapping own_columns() {
  RegisterMapping mapping;
  for (const std::string_view field : kRegisterFields) {
    if (field != "frequency_to") mapping.columns[std::string{field}] = {std::string{field}};
  }
  mapping.columns["position_sigma"] = {"position_sigma_m"};
  mapping.columns["frequency"] = {"frequency_hz"};
  mapping.columns["bandwidth"] = {"bandwidth_hz"};
  mapping.columns["power"] = {"power_w"};
  mapping.columns_may_lack = true;
  return mapping;
}

Result<RegisterMapping> read_mapping(const std::filesystem::path& path) {
  const Result<ConfigFile> file = ConfigFile::from_path(path);
  if (!file) return Error{file.error()};
  const ConfigTable& root = file->root();
  RegisterMapping mapping;
  read_file(root.table("file"), mapping);
  read_columns(root.table("columns"), mapping);
  const ConfigTable units = root.table("units");
  mapping.frequency_unit_hz = unit_hz(units, "frequency");
  mapping.bandwidth_unit_hz = unit_hz(units, "bandwidth");
  mapping.power_unit = power_unit(units);
  read_position(root.table("position"), mapping);
  read_dates(root.table("dates"), mapping);
  std::string problems;
  for (const std::string& line : file->problems()) {
    problems += (problems.empty() ? "" : "\n") + line;
  }
  if (!problems.empty()) return Error{problems};
  return mapping;
}

}  // namespace fixwright::register_
