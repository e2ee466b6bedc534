#pragma once

#include <string>

#include "server/store/database.hpp"

namespace fixwright::store {

/// The rules' connection with what every session of ours has: a connect timeout, UTC, no
/// notices, a name that shows in pg_stat_activity, and death of a silent network noticed.
/// What the operator wrote wins. Throws DatabaseRefused when libpq can't read it; the line
/// names no password.
std::string connection_text(const DatabaseRules& rules);

/// First line of a database's message, without "ERROR:" and line ends.
std::string one_line(const std::string& message);

}  // namespace fixwright::store
