#pragma once
/// How long raw bearings are kept: they are dropped by whole UTC days, which costs no time. Fixes,
/// emitters, tracks and the sums by the hour stay.

#include <chrono>
#include <cstdint>
#include <vector>

#include "server/store/database.hpp"

namespace fixwright::store {

struct StoredDay {
  std::chrono::sys_days day;  // UTC
  std::uint64_t bearings = 0;
  std::uint64_t bytes = 0;  // on disk, indexes included
};

/// The days before `before` of which bearings are kept, rising. Counts them: a second or so for ten
/// million. Throws DatabaseAway, DatabaseRefused.
std::vector<StoredDay> stored_days(Database& database, std::chrono::sys_days before);

/// Drops one. A server may run: it waits for a moment. Only the owner of the tables may. Throws as
/// above, also when somebody reads them for longer than `patience`.
void drop_day(Database& database, std::chrono::sys_days day, std::chrono::seconds patience);

}  // namespace fixwright::store
