#include "server/base/csv.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cassert>
#include <charconv>
#include <cmath>
#include <utility>

#include "server/base/utf8.hpp"

namespace fixwright {

namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

bool same_name(std::string_view a, std::string_view b) {
  return std::ranges::equal(a, b, [](char x, char y) { return lower(x) == lower(y); });
}

/// Whether a quoted field is still open at the end: quotes come in pairs.
bool quote_open(std::string_view text, bool open_before) {
  return (std::ranges::count(text, '"') % 2 == 1) != open_before;
}

void drop_carriage_return(std::string& text) {
  if (!text.empty() && text.back() == '\r') text.pop_back();
}

struct Field {
  std::string text;
  std::size_t next = 0;  // where the separator or the end is
  std::string_view problem;
};

Field take_plain(std::string_view record, std::size_t from, char separator) {
  const auto end = std::min(record.find(separator, from), record.size());
  const auto text = record.substr(from, end - from);
  if (text.find('"') != std::string_view::npos) {
    return {{},
            end,
            "a quote inside a field that does not begin with one; double it and quote the "
            "whole field"};
  }
  return {std::string{text}, end, {}};
}

Field take_quoted(std::string_view record, std::size_t from, char separator) {
  Field field;
  for (std::size_t i = from + 1; i < record.size(); ++i) {
    if (record[i] != '"') {
      field.text += record[i];
      continue;
    }
    field.next = i + 1;
    if (field.next == record.size() || record[field.next] == separator) return field;
    if (record[field.next] != '"') {
      field.problem = "text after a closing quote; double the quotes inside a quoted field";
      return field;
    }
    field.text += '"';
    ++i;
  }
  field.problem = "a quote is never closed";
  return field;
}

}  // namespace

CsvReader::CsvReader(std::istream& in, std::string name, CsvFormat format)
    : in_(in), name_(std::move(name)), format_(format) {}

Error CsvReader::error(std::size_t line, std::string_view what) const {
  return Error{fmt::format("{}:{}: {}", name_, line, what)};
}

std::optional<CsvReader::Line> CsvReader::read_line() {
  std::streambuf& bytes = *in_.rdbuf();
  constexpr int kEnd = std::char_traits<char>::eof();
  int c = bytes.sbumpc();
  if (c == kEnd) return std::nullopt;
  Line line{++lines_read_, {}, false};
  for (; c != kEnd && c != '\n'; c = bytes.sbumpc()) {
    if (line.text.size() < format_.max_record_bytes) {
      line.text += static_cast<char>(c);
    } else {
      line.too_long = true;
    }
  }
  if (line.number == 1 && line.text.starts_with(kByteOrderMark)) {
    line.text.erase(0, kByteOrderMark.size());
  }
  return line;
}

bool CsvReader::fill(std::size_t count) {
  while (pending_.size() < count) {
    auto line = read_line();
    if (!line) return false;
    pending_.push_back(std::move(*line));
  }
  return true;
}

std::optional<Result<CsvRow>> CsvReader::next() {
  while (fill(1)) {
    const Line& first = pending_.front();
    if (!first.text.empty() && first.text != "\r") return read_record();
    pending_.pop_front();
  }
  return std::nullopt;
}

/// Lines are joined while a quote is open. If that leads nowhere, only the first line is given
/// up: a stray quote must not swallow the rows after it.
Result<CsvRow> CsvReader::read_record() {
  std::string record;
  bool open = false;
  std::size_t used = 0;
  for (; used == 0 || open; ++used) {
    const bool more = fill(used + 1);
    if (!more || pending_[used].too_long ||
        record.size() + pending_[used].text.size() > format_.max_record_bytes) {
      const std::size_t line = pending_.front().number;
      pending_.pop_front();
      if (used > 0) return error(line, "a quote is never closed");
      return error(line, fmt::format("record is longer than {} bytes", format_.max_record_bytes));
    }
    if (used > 0) record += '\n';
    record += pending_[used].text;
    open = quote_open(pending_[used].text, open);
  }
  const std::size_t line = pending_.front().number;
  drop_carriage_return(record);
  auto row = split(record, line);
  pending_.erase(pending_.begin(),
                 pending_.begin() + (row ? static_cast<std::ptrdiff_t>(used) : 1));
  return row;
}

Result<CsvRow> CsvReader::split(const std::string& record, std::size_t line) const {
  if (!is_utf8(record)) return error(line, "text is not UTF-8; convert the file and read it again");
  if (record.find('\0') != std::string::npos) return error(line, "text holds a NUL byte");
  CsvRow row{line, {}};
  for (std::size_t at = 0;; ++at) {
    const bool quoted = at < record.size() && record[at] == '"';
    Field field = quoted ? take_quoted(record, at, format_.separator)
                         : take_plain(record, at, format_.separator);
    if (!field.problem.empty()) return error(line, field.problem);
    if (row.fields.size() == format_.max_fields) {
      return error(line, fmt::format("more than {} fields", format_.max_fields));
    }
    row.fields.push_back(std::move(field.text));
    at = field.next;
    if (at >= record.size()) return row;
  }
}

Result<CsvColumns> CsvColumns::find(const CsvRow& header,
                                    std::span<const std::string_view> required,
                                    std::span<const std::string_view> optional,
                                    std::string_view file_name) {
  CsvColumns found;
  found.width_ = header.fields.size();
  const auto problem = [&](std::string_view name, std::string_view what) {
    return Error{fmt::format("{}:{}: column {} {}", file_name, header.line, name, what)};
  };
  const auto look_up = [&](std::string_view name) {
    Column column{std::string{name}, std::nullopt};
    bool twice = false;
    for (std::size_t i = 0; i < header.fields.size(); ++i) {
      if (!same_name(trimmed(header.fields[i]), name)) continue;
      twice = column.index.has_value();
      column.index = i;
    }
    found.columns_.push_back(column);
    return std::pair{column.index.has_value(), twice};
  };
  for (const auto name : required) {
    const auto [there, twice] = look_up(name);
    if (!there) return problem(name, "is missing; the first line must name the columns");
    if (twice) return problem(name, "appears twice");
  }
  for (const auto name : optional) {
    if (look_up(name).second) return problem(name, "appears twice");
  }
  return found;
}

bool CsvColumns::has(std::string_view column) const {
  const auto at = std::ranges::find(columns_, column, &Column::name);
  return at != columns_.end() && at->index.has_value();
}

std::string_view CsvColumns::field(const CsvRow& row, std::string_view column) const {
  const auto at = std::ranges::find(columns_, column, &Column::name);
  assert(at != columns_.end());
  if (!at->index || *at->index >= row.fields.size()) return {};
  return trimmed(row.fields[*at->index]);
}

std::optional<double> parse_number(std::string_view text) {
  if (text.starts_with('+')) {
    text.remove_prefix(1);
    if (text.starts_with('-')) return std::nullopt;
  }
  double value = 0.0;
  const char* end = text.data() + text.size();
  const auto [stop, problem] = std::from_chars(text.data(), end, value);
  if (problem != std::errc{} || stop != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string csv_field(std::string_view text) {
  if (text.find_first_of("\",\r\n") == std::string_view::npos) return std::string{text};
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

std::string csv_row(std::span<const std::string> fields) {
  std::string row;
  for (const auto& field : fields) {
    if (!row.empty() || &field != fields.data()) row += ',';
    row += csv_field(field);
  }
  return row + '\n';
}

}  // namespace fixwright
