#pragma once
/// CSV by RFC 4180, and what people add to it: a byte-order mark, LF for CRLF, blank lines,
/// another separator. One bad row costs one line of complaint and nothing else.
///
///     CsvReader reader{in, "log.csv"};
///     while (auto row = reader.next()) {
///       if (!*row) { complain(row->error()); continue; }
///       use((*row)->fields);
///     }

#include <cstddef>
#include <deque>
#include <istream>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"

namespace fixwright {

struct CsvFormat {
  char separator = ',';
  std::size_t max_record_bytes = 65'536;  // a longer record is refused, not held in memory
  std::size_t max_fields = 256;
};

struct CsvRow {
  std::size_t line = 0;  // where it begins, 1 and up
  std::vector<std::string> fields;
};

/// Reads records one by one from a stream, which must outlive it. Memory is bounded by
/// max_record_bytes whatever the input.
class CsvReader {
 public:
  /// `name` is for messages: the file's name, or "stdin".
  CsvReader(std::istream& in, std::string name, CsvFormat format = {});

  /// The next record; an Error that says "NAME:LINE: what is wrong" for one that can't be
  /// read (the next call goes on with the line after); nothing at the end. Blank lines are
  /// passed over. Refused: not UTF-8, a NUL, a quote inside an unquoted field, text after a
  /// closing quote, a quote never closed, a record or a number of fields past the limit.
  std::optional<Result<CsvRow>> next();

  [[nodiscard]] const std::string& name() const { return name_; }

 private:
  struct Line {
    std::size_t number = 0;
    std::string text;  // without its LF
    bool too_long = false;
  };

  bool fill(std::size_t count);
  std::optional<Line> read_line();
  Result<CsvRow> read_record();
  Result<CsvRow> split(const std::string& record, std::size_t line) const;
  Error error(std::size_t line, std::string_view what) const;

  std::istream& in_;
  std::string name_;
  CsvFormat format_;
  std::size_t lines_read_ = 0;
  std::deque<Line> pending_;  // read, not yet given out
};

/// Which column is where. Names are compared without regard to case or blanks around them.
class CsvColumns {
 public:
  /// Fails, with one line, on a missing column and on a name that appears twice.
  static Result<CsvColumns> find(const CsvRow& header, std::span<const std::string_view> required,
                                 std::span<const std::string_view> optional = {},
                                 std::string_view file_name = "header");

  /// The field of a wanted column, without blanks around it; empty where the row is short or
  /// the file has no such (optional) column. \pre `column` was asked for in find().
  [[nodiscard]] std::string_view field(const CsvRow& row, std::string_view column) const;
  [[nodiscard]] bool has(std::string_view column) const;
  /// Fields a whole row has.
  [[nodiscard]] std::size_t width() const { return width_; }

 private:
  struct Column {
    std::string name;
    std::optional<std::size_t> index;
  };
  std::vector<Column> columns_;
  std::size_t width_ = 0;
};

/// A whole field as a finite number ("1e6", "-41.2", "+3"); nothing for anything else: no
/// unit, no decimal comma, no "nan".
std::optional<double> parse_number(std::string_view text);

/// A field as it is written: in quotes, with quotes doubled, where RFC 4180 asks for it.
std::string csv_field(std::string_view text);

/// One record with its LF.
std::string csv_row(std::span<const std::string> fields);

}  // namespace fixwright
