#include "server/tools/query_command.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cctype>
#include <exception>

#include "server/base/csv.hpp"
#include "server/base/text.hpp"
#include "server/report/table.hpp"
#include "server/store/ask.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

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
  out << csv_row(answer.columns);
  for (const auto& row : filled(answer, "")) out << csv_row(row);
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
    store::Database database{command_rules(options.database)};
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
