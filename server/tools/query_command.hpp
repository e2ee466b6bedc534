#pragma once
/// `fixwright query NAME`: asks the database one of the questions in sql/queries.

#include <map>
#include <ostream>
#include <string>

#include "server/tools/named_query.hpp"

namespace fixwright::tools {

enum class QueryFormat { table, csv, geojson };

struct QueryOptions {
  NamedQuery query;
  std::map<std::string, std::string> arguments;  // as given; others have their defaults
  std::string database = "host=/run/fixwright dbname=fixwright user=fixwright_reader";
  QueryFormat format = QueryFormat::table;
  int timeout_s = 30;  // 1 to 3600
};

/// A table and CSV leave geometries out; GeoJSON has the first one of each row.
/// \return 0; 1 when the database can't be reached or refused; 2 when an argument is wrong: with
/// one line on `err`, and nothing on `out`.
int run_query(const QueryOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
