#include "server/store/retention.hpp"

#include <fmt/core.h>

#include "server/store/pool.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

std::string day_text(std::chrono::sys_days day) {
  return format_rfc3339(TimePoint{day}, 0).substr(0, 10);
}

/// Digits only, so that it may stand in a statement.
std::string partition_of(const std::string& day) {
  return "bearing_" + day.substr(0, 4) + day.substr(5, 2) + day.substr(8, 2);
}

}  // namespace

std::vector<StoredDay> stored_days(Database& database, std::chrono::sys_days before) {
  return look(database, [&](auto& tx) {
    std::vector<StoredDay> days;
    const auto rows = execute(tx,
                              "SELECT day - '1970-01-01'::date, day FROM bearing_days() AS day "
                              "WHERE day < $1::date ORDER BY 1",
                              {day_text(before)});
    for (const auto& row : rows) {
      const std::chrono::sys_days day{std::chrono::days{row[0].template as<int>()}};
      const std::string part = partition_of(day_text(day));
      const std::string begin = day_text(day) + " 00:00Z";
      const auto sums =
          tx.exec1(fmt::format("SELECT (SELECT count(*) FROM bearing WHERE start_at >= '{0}' "
                               "AND start_at < '{0}'::timestamptz + interval '24 hours'), "
                               "pg_total_relation_size('{1}')",
                               begin, part));
      days.push_back(
          {day, sums[0].template as<std::uint64_t>(), sums[1].template as<std::uint64_t>()});
    }
    return days;
  });
}

void drop_day(Database& database, std::chrono::sys_days day, std::chrono::seconds patience) {
  change(database, [&](pqxx::work& tx) {
    tx.exec0(fmt::format("SET LOCAL lock_timeout = '{}s'", patience.count()));
    tx.exec0("DROP TABLE " + partition_of(day_text(day)));
  });
}

}  // namespace fixwright::store
