#pragma once
/// Published tables, read for the tests: comma separated, `#` lines are their source.

#include <fstream>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

#include "server/base/csv.hpp"

namespace fixwright::published {

/// One row by column name. A column that is not there, or no number, stops the test.
class Row {
 public:
  void set(const std::string& column, const std::string& value) { fields_[column] = value; }
  [[nodiscard]] const std::string& text(const std::string& column) const {
    return fields_.at(column);
  }
  [[nodiscard]] double number(const std::string& column) const {
    const auto value = parse_number(text(column));
    if (!value) {
      throw std::runtime_error(column + " is no number: " + text(column));
    }
    return *value;
  }

 private:
  std::map<std::string, std::string> fields_;
};

/// Every row of tests/published/data/NAME. Throws when the file is missing or a row unreadable.
inline std::vector<Row> table(const std::string& name) {
  const std::string path = std::string(FIXWRIGHT_PUBLISHED_DATA) + "/" + name;
  std::ifstream in(path);
  if (!in) {
    throw std::runtime_error("cannot open " + path);
  }
  while (in.peek() == '#') {
    std::string source;
    std::getline(in, source);
  }
  CsvReader reader{in, name};
  const CsvRow header = reader.next().value().value();
  std::vector<Row> rows;
  while (auto record = reader.next()) {
    const CsvRow cells = std::move(*record).value();
    Row row;
    for (std::size_t i = 0; i < header.fields.size(); ++i) {
      row.set(header.fields[i], cells.fields.at(i));
    }
    rows.push_back(row);
  }
  return rows;
}

}  // namespace fixwright::published
