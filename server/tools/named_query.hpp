#pragma once
/// The questions in sql/queries, each a file: "-- " and what it answers, a line for each argument,
/// and one SELECT that names them as psql does, :'name'.
///
///     -- Emitters that were first heard in the last days.
///     -- :days double precision [0, 4000] = 7; how far back
///     SELECT … WHERE first_heard > now() - :'days'::double precision * interval '1 day'
///
/// After the name come its type, for a number perhaps the range it must be in, perhaps a default,
/// and after the semicolon what it means.

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"

namespace fixwright::tools {

enum class ArgumentKind { whole, real, time, text, file };

struct QueryArgument {
  std::string name;
  ArgumentKind kind = ArgumentKind::text;
  std::optional<double> low, high;  // both or none; included
  std::optional<std::string> fallback;
  std::string meaning;
};

struct NamedQuery {
  std::string name;
  std::string about;  // the header's sentences on one line
  std::vector<QueryArgument> arguments;
  std::string select;  // $1 for the first argument and so on; no semicolon
};

/// A file of sql/queries without its ending.
struct QueryFile {
  std::string name;
  std::string text;
};

/// All of them, by name; compiled into the program.
const std::vector<QueryFile>& query_files();

/// Error: "sql/queries/NAME.sql:LINE: what is wrong".
Result<NamedQuery> parse_named_query(const QueryFile& file);

/// The arguments' values in their order, defaults filled in. Error: one line that names the
/// argument, the value and the rule. A file is read here.
Result<std::vector<std::string>> query_values(const NamedQuery& query,
                                              const std::map<std::string, std::string>& given);

}  // namespace fixwright::tools
