#include "server/store/database_state.hpp"

#include "server/store/pool.hpp"

namespace fixwright::store {

DatabaseState measure_database(Database& database) {
  return look(database, [](auto& tx) {
    const pqxx::row row =
        tx.exec(
              "SELECT pg_database_size(current_database()) AS size_bytes, "
              "(SELECT sum(numbackends) FROM pg_stat_database)::integer AS connections, "
              "current_setting('max_connections')::integer AS most_connections")
            .at(0);
    return DatabaseState{row["size_bytes"].template as<std::uint64_t>(),
                         row["connections"].template as<int>(),
                         row["most_connections"].template as<int>()};
  });
}

}  // namespace fixwright::store
