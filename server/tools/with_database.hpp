#pragma once
/// For commands that work on the database.

#include <fmt/core.h>

#include <exception>
#include <ostream>
#include <string>
#include <string_view>

#include "server/store/database.hpp"
#include "server/store/schema.hpp"

namespace fixwright::tools {

/// One connection, under the name that no server has.
inline store::DatabaseRules command_rules(const std::string& connection) {
  store::DatabaseRules rules;
  rules.connection = connection;
  rules.connections = 1;
  rules.application = "fixwright";
  return rules;
}

/// Opens the database, of this program's schema, and runs `work` on it. \return what it returns;
/// 2, with one line that begins with `command`, when that can't be.
template <typename Work>
int with_database(std::string_view command, const std::string& connection, std::ostream& err,
                  Work work) {
  if (connection.empty()) {
    err << fmt::format("{}: no database; give --database\n", command);
    return 2;
  }
  try {
    store::Database database{command_rules(connection)};
    store::check_schema(database);
    return work(database);
  } catch (const std::exception& problem) {
    err << fmt::format("{}: {}\n", command, problem.what());
    return 2;
  }
}

}  // namespace fixwright::tools
