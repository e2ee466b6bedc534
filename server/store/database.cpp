#include "server/store/database.hpp"

#include <algorithm>
#include <array>

#include "server/store/connection_text.hpp"
#include "server/store/pool.hpp"

namespace fixwright::store {

Database::Database(DatabaseRules rules)
    : pool_(std::make_unique<Pool>(connection_text(rules), std::clamp(rules.connections, 1, 64))) {}

Database::~Database() = default;

void Database::ping() {
  change(*this, [](pqxx::work& tx) { tx.exec1("SELECT 1"); });
}

Database::Pool::Lease::Lease(Pool& pool) : pool_(pool), connection_(pool.take()) {}

Database::Pool::Lease::~Lease() { pool_.give_back(std::move(connection_)); }

void Database::Pool::Lease::drop() {
  connection_.reset();
  const std::lock_guard lock(pool_.mutex_);
  pool_.idle_.clear();
}

std::unique_ptr<pqxx::connection> Database::Pool::take() {
  {
    std::unique_lock lock(mutex_);
    freed_.wait(lock, [this] { return free_ > 0; });
    --free_;
    if (!idle_.empty()) {
      auto connection = std::move(idle_.back());
      idle_.pop_back();
      return connection;
    }
  }
  try {
    return std::make_unique<pqxx::connection>(connection_text_);
  } catch (...) {
    give_back(nullptr);
    rethrow_as_ours();
  }
}

void Database::Pool::give_back(std::unique_ptr<pqxx::connection> connection) {
  const std::lock_guard lock(mutex_);
  ++free_;
  if (connection && connection->is_open()) idle_.push_back(std::move(connection));
  freed_.notify_one();
}

bool waiting_helps(const std::string& sqlstate) {
  // Classes of the PostgreSQL manual, appendix A: connection, resources, operator's
  // intervention, system error; a rolled-back conflict; a standby that may not write.
  static constexpr std::array<std::string_view, 5> kClasses{"08", "53", "57", "58", "40"};
  return sqlstate == "25006" || std::any_of(kClasses.begin(), kClasses.end(), [&](auto prefix) {
           return sqlstate.starts_with(prefix);
         });
}

void rethrow_as_ours() {
  try {
    throw;
  } catch (const pqxx::broken_connection& e) {
    throw DatabaseAway("no database: " + one_line(e.what()));
  } catch (const pqxx::in_doubt_error& e) {
    throw DatabaseAway("lost the database while committing: " + one_line(e.what()));
  } catch (const pqxx::insufficient_privilege& e) {  // libpqxx 6.4 gives it no SQLSTATE
    const std::string what = one_line(e.what());
    const bool owners = what.find("must be owner") != std::string::npos;
    throw DatabaseRefused("the database refused: " + what + ": connect as " +
                          (owners ? "fixwright_owner" : "fixwright_writer"));
  } catch (const pqxx::sql_error& e) {
    // Without an SQLSTATE the server said nothing: the connection went away.
    if (e.sqlstate().empty() || waiting_helps(e.sqlstate())) {
      throw DatabaseAway("lost the database: " + one_line(e.what()));
    }
    throw DatabaseRefused("the database refused: " + one_line(e.what()));
  } catch (const pqxx::failure& e) {
    throw DatabaseAway("lost the database: " + one_line(e.what()));
  }
}

}  // namespace fixwright::store
