#include "server/tools/query_command.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cctype>
#include <exception>

#include "server/base/text.hpp"
#include "server/report/table.hpp"
#include "server/store/ask.hpp"

namespace fixwright::tools {

namespace {

std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

/// RFC 4180: quotes where a comma, a quote or a line's end asks for them.
std::string csv_field(const std::string& text) {
  return text.find_first_of(",\"\r\n") == std::string::npos ? text : quoted(text);
}

std::string csv_line(const std::vector<std::string>& fields) {
  std::string line;
  for (std::size_t i = 0; i < fields.size(); ++i) {
    line += (i == 0 ? "" : ",") + csv_field(fields[i]);
  }
  return line + "\n";
}

std::vector<std::string> heading(std::vector<std::string> columns) {
  for (std::string& column : columns) {
    std::replace(column.begin(), column.end(), '_', ' ');
    for (char& c : column) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  }
  return columns;
}

std::vector<std::vector<std::string>> filled(const store::Answer& answer, const std::string& null) {
  std::vector<std::vector<std::string>> rows;
  for (const auto& row : answer.rows) {
    auto& cells = rows.emplace_back();
    for (const auto& cell : row) cells.push_back(cell.value_or(null));
  }
  return rows;
}

void print_table(const store::Answer& answer, std::ostream& out) {
  auto rows = filled(answer, "-");
  rows.insert(rows.begin(), heading(answer.columns));
  out << report::text_table(rows);
}

void print_csv(const store::Answer& answer, std::ostream& out) {
  out << csv_line(answer.columns);
  for (const auto& row : filled(answer, "")) out << csv_line(row);
}

/// RFC 7946: a FeatureCollection, a Feature a line.
void print_geojson(const store::Answer& answer, std::ostream& out) {
  out << R"({"type":"FeatureCollection","features":[)";
  const char* before = "\n";
  for (const auto& row : filled(answer, "null")) {
    out << before << row.at(0);
    before = ",\n";
  }
  out << "\n]}\n";
}

void print(const store::Answer& answer, QueryFormat format, std::ostream& out) {
  switch (format) {
    case QueryFormat::table:
      return print_table(answer, out);
    case QueryFormat::csv:
      return print_csv(answer, out);
    case QueryFormat::geojson:
      return print_geojson(answer, out);
  }
}

}  // namespace

int run_query(const QueryOptions& options, std::ostream& out, std::ostream& err) {
  const auto values = query_values(options.query, options.arguments);
  if (!values.ok()) {
    err << values.error() << '\n';
    return 2;
  }
  try {
    store::DatabaseRules rules;
    rules.connection = options.database;
    rules.connections = 1;
    rules.application = "fixwright";
    store::Database database{rules};
    const auto form = options.format == QueryFormat::geojson ? store::AnswerForm::geojson
                                                             : store::AnswerForm::cells;
    print(store::ask(database, options.query.select, *values, form, options.timeout_s),
          options.format, out);
  } catch (const std::exception& error) {
    err << fmt::format("query {}: {}\n", options.query.name, one_line(error.what()));
    return 1;
  }
  return 0;
}

}  // namespace fixwright::tools
