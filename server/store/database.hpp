#pragma once
/// The database as the rest of the server meets it: a pool of connections, two kinds of failure.

#include <chrono>
#include <memory>
#include <stdexcept>
#include <string>

#include "server/base/time.hpp"

namespace fixwright::store {

/// The world is at fault: no connection, or it broke. Nobody knows whether the last COMMIT
/// arrived; everything written here may be written again. Wait and call again.
class DatabaseAway : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// The database answered, and refused the statement: wrong schema, no right, a broken rule.
/// Calling again with the same values fails again; a person must act.
class DatabaseRefused : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

struct DatabaseRules {
  /// As libpq takes it: "host=/run/fixwright dbname=fixwright user=fixwright_writer" or a URI.
  std::string connection;
  int connections = 4;  // at most, 1 to 64; a caller waits for a free one
  Duration connect_timeout = std::chrono::seconds(5);  // 2 s to 60 s
  /// Under which name PostgreSQL lists the connections; a server's is never another's.
  std::string application = "fixwright-server";
};

/// A pool of connections, opened when first needed, dropped when they break. Safe from any
/// thread. Must outlive every object of this folder that was given a reference to it.
class Database {
 public:
  /// Opens nothing. Throws DatabaseRefused when rules.connection can't be read.
  explicit Database(DatabaseRules rules);
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;
  ~Database();

  /// Throws DatabaseAway unless the database answers now: for readiness.
  void ping();

  class Pool;
  [[nodiscard]] Pool& pool() { return *pool_; }  // for this folder only

 private:
  std::unique_ptr<Pool> pool_;
};

}  // namespace fixwright::store
