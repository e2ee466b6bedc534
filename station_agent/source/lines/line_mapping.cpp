#include "station_agent/source/lines/line_mapping.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>

#include "server/base/text.hpp"
#include "station_agent/source/lines/line_fields.hpp"

namespace fixwright::agent {

namespace {

constexpr std::size_t kMaxColumns = 256;

std::optional<std::size_t> column_number(std::string_view text) {
  std::size_t number = 0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), number);
  const bool whole = code == std::errc{} && end == text.data() + text.size();
  if (!whole || number < 1 || number > kMaxColumns) return std::nullopt;
  return number - 1;
}

}  // namespace

std::string_view name_of(Field f) {
  static constexpr std::array<std::string_view, kFieldCount> kNames{
      "time",     "integration",  "frequency",      "azimuth",   "sigma",     "quality",
      "heading",  "level",        "field_strength", "snr",       "bandwidth", "label",
      "overload", "uncalibrated", "alternatives",   "only_where"};
  return kNames.at(index_of(f));
}

Result<LineMapping> bind_numbers(LineMapping mapping) {
  for (std::size_t i = 0; i < kFieldCount; ++i) {
    if (mapping.names[i].empty()) continue;
    mapping.columns[i] = column_number(mapping.names[i]);
    if (!mapping.columns[i]) {
      return Error{fmt::format("{} = \"{}\": without a header line a column is a number, 1 to {}",
                               name_of(static_cast<Field>(i)), one_line(mapping.names[i], 60),
                               kMaxColumns)};
    }
  }
  return mapping;
}

Result<LineMapping> bind_header(LineMapping mapping, std::string_view header) {
  const auto cells = split_delimited(header, mapping.text);
  if (!cells) return Error{"header line: " + cells.error()};
  std::string missing;
  for (std::size_t i = 0; i < kFieldCount; ++i) {
    if (mapping.names[i].empty()) continue;
    const auto found = std::find(cells->begin(), cells->end(), mapping.names[i]);
    mapping.columns[i] = static_cast<std::size_t>(found - cells->begin());
    if (found == cells->end()) {
      missing += fmt::format("{}\"{}\"", missing.empty() ? "" : ", ", mapping.names[i]);
    }
  }
  if (missing.empty()) return mapping;
  return Error{
      fmt::format("the header line has no column {}; it reads \"{}\": mend "
                  "source.lines.fields; until then nothing of this input can be read",
                  one_line(missing, 200), one_line(header, 200))};
}

}  // namespace fixwright::agent
