#pragma once
/// How much room the database has left, by its own word.

#include "server/model/host_state.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// Throws DatabaseAway or DatabaseRefused.
DatabaseState measure_database(Database& database);

}  // namespace fixwright::store
