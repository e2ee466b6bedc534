#include "station_agent/source/lines/line_fields.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "server/base/text.hpp"
#include "server/base/utf8.hpp"

namespace fixwright::agent {

namespace {

using nlohmann::json;

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return std::string(text);
}

/// ISO 8859-1 maps byte for byte onto the first 256 code points.
std::string utf8_of_latin1(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x80U) {
      out += c;
    } else {
      out += static_cast<char>(0xC0U | (byte >> 6U));
      out += static_cast<char>(0x80U | (byte & 0x3FU));
    }
  }
  return out;
}

/// A cell in quotes at the front of `rest`, taken off it up to the closing quote.
std::optional<std::string> take_quoted(std::string_view& rest) {
  std::string cell;
  rest.remove_prefix(1);
  while (!rest.empty()) {
    const char c = rest.front();
    rest.remove_prefix(1);
    if (c != '"') {
      cell += c;
    } else if (!rest.empty() && rest.front() == '"') {
      cell += '"';
      rest.remove_prefix(1);
    } else {
      return cell;
    }
  }
  return std::nullopt;
}

std::size_t find_separator(std::string_view text, char separator) {
  return separator == ' ' ? text.find_first_of(" \t") : text.find(separator);
}

void skip_blanks(std::string_view& rest, char separator) {
  while (!rest.empty() && is_blank(rest.front()) && rest.front() != separator) {
    rest.remove_prefix(1);
  }
}

/// A JSON value as the text a column would hold; null is none.
Result<std::optional<std::string>> text_of(const json& value, Field field) {
  if (value.is_null()) return std::optional<std::string>{};
  if (value.is_string()) return std::optional(trimmed(value.get_ref<const std::string&>()));
  if (value.is_number() || value.is_boolean()) return std::optional(value.dump());
  if (field == Field::alternatives && value.is_array()) return std::optional(value.dump());
  return Error{
      fmt::format("{}: must be a number or text, not {}", name_of(field), value.type_name())};
}

/// The value a name leads to: a key, or a JSON pointer (RFC 6901) such as /df/azimuth.
const json* find_value(const json& object, const std::string& name) {
  if (name.front() != '/') {
    const auto found = object.find(name);
    return found == object.end() ? nullptr : &*found;
  }
  const json::json_pointer pointer(name);  // its syntax was checked with the configuration
  return object.contains(pointer) ? &object.at(pointer) : nullptr;
}

Result<FieldTexts> json_fields(std::string_view line, const LineMapping& mapping) {
  const json object = json::parse(line, nullptr, false);
  if (!object.is_object()) {
    return Error{fmt::format("\"{}\": must be one whole JSON object", one_line(line, 60))};
  }
  FieldTexts texts;
  for (std::size_t i = 0; i < kFieldCount; ++i) {
    if (mapping.names[i].empty()) continue;
    const json* value = find_value(object, mapping.names[i]);
    if (value == nullptr) continue;
    auto text = text_of(*value, static_cast<Field>(i));
    if (!text) return Error{text.error()};
    texts[i] = *text;
  }
  return texts;
}

bool is_text(Field f) { return f == Field::label || f == Field::time || f == Field::alternatives; }

Result<FieldTexts> delimited_fields(std::string_view line, const LineMapping& mapping) {
  const auto cells = split_delimited(line, mapping.text);
  if (!cells) return Error{cells.error()};
  FieldTexts texts;
  for (std::size_t i = 0; i < kFieldCount; ++i) {
    if (!mapping.columns[i]) continue;
    if (*mapping.columns[i] >= cells->size()) {
      return Error{fmt::format("has {} columns, {} is in column {}: is it half a line?",
                               cells->size(), name_of(static_cast<Field>(i)),
                               *mapping.columns[i] + 1)};
    }
    std::string cell = (*cells)[*mapping.columns[i]];
    if (mapping.text.decimal_comma && !is_text(static_cast<Field>(i))) {
      std::replace(cell.begin(), cell.end(), ',', '.');
    }
    if (!cell.empty()) texts[i] = std::move(cell);
  }
  return texts;
}

}  // namespace

Result<std::vector<std::string>> split_delimited(std::string_view line, const TextFormat& format) {
  std::vector<std::string> cells;
  std::string_view rest = line;
  while (true) {
    skip_blanks(rest, format.separator == ' ' ? '\0' : format.separator);
    if (format.separator == ' ' && rest.empty() && !cells.empty())
      return cells;  // blanks at the end
    std::string cell;
    if (!rest.empty() && rest.front() == '"') {
      auto quoted = take_quoted(rest);
      if (!quoted) return Error{fmt::format("\"{}\": a quote is never closed", one_line(line, 60))};
      cell = std::move(*quoted);
    }
    const std::size_t end = find_separator(rest, format.separator);
    cell += trimmed(rest.substr(0, end));
    cells.push_back(std::move(cell));
    if (end == std::string_view::npos) return cells;
    rest.remove_prefix(end + 1);
  }
}

Result<FieldTexts> read_fields(std::string_view line, const LineMapping& mapping) {
  if (line.find('\0') != std::string_view::npos) {
    return Error{"holds zero bytes: is it UTF-16? It must be UTF-8, or source.lines.text.encoding"};
  }
  std::string converted;
  if (mapping.text.latin1) {
    converted = utf8_of_latin1(line);
    line = converted;
  }
  if (!is_utf8(line)) {
    return Error{
        fmt::format("\"{}\": is not UTF-8: set source.lines.text.encoding", one_line(line, 60))};
  }
  return mapping.text.format == LineFormat::json ? json_fields(line, mapping)
                                                 : delimited_fields(line, mapping);
}

}  // namespace fixwright::agent
