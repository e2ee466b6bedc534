#pragma once
/// Which schema this server was built for: the number of the last file in sql/migrations.

#include "server/store/database.hpp"

namespace fixwright::store {

inline constexpr int kSchemaVersion = 18;

/// Returns when the database's schema is kSchemaVersion; else throws DatabaseRefused:
///     database schema is version 3, this server needs 16: run sql/migrate.sh, see
///     deploy/UPGRADING.md
/// Throws DatabaseAway when the database does not answer.
void check_schema(Database& database);

}  // namespace fixwright::store
