#include "server/store/schema.hpp"

#include "server/store/pool.hpp"

namespace fixwright::store {

namespace {

/// 0 when the database has no schema of ours.
int version_of(Database& database) {
  return look(database, [](auto& tx) {
    const auto found = tx.exec1("SELECT to_regclass('public.schema_version') IS NOT NULL");
    if (!found[0].template as<bool>()) return 0;
    return tx.exec1("SELECT coalesce(max(version), 0) FROM public.schema_version")[0]
        .template as<int>();
  });
}

}  // namespace

void check_schema(Database& database) {
  const int version = version_of(database);
  if (version == kSchemaVersion) return;
  const std::string found = "database schema is version " + std::to_string(version) +
                            ", this server needs " + std::to_string(kSchemaVersion) + ": ";
  throw DatabaseRefused(found + (version < kSchemaVersion
                                     ? "run sql/migrate.sh, see deploy/UPGRADING.md"
                                     : "start the newer server, see deploy/UPGRADING.md"));
}

}  // namespace fixwright::store
