#pragma once
/// Leases of connections and transactions on them. Private to this folder: it shows libpqxx.

#include <condition_variable>
#include <memory>
#include <mutex>
#include <pqxx/pqxx>
#include <string>
#include <utility>
#include <vector>

#include "server/store/database.hpp"

namespace fixwright::store {

class Database::Pool {
 public:
  Pool(std::string connection_text, int connections)
      : connection_text_(std::move(connection_text)), free_(connections) {}

  /// Holds one connection, and gives it back when destroyed, unless it was found broken.
  class Lease {
   public:
    explicit Lease(Pool& pool);
    Lease(const Lease&) = delete;
    Lease& operator=(const Lease&) = delete;
    ~Lease();
    [[nodiscard]] pqxx::connection& connection() { return *connection_; }
    /// The connection is no good, and the idle ones likely neither.
    void drop();

   private:
    Pool& pool_;
    std::unique_ptr<pqxx::connection> connection_;
  };

  /// For connections outside the pool.
  [[nodiscard]] const std::string& connection_text() const { return connection_text_; }

 private:
  std::unique_ptr<pqxx::connection> take();
  void give_back(std::unique_ptr<pqxx::connection> connection);

  const std::string connection_text_;
  std::mutex mutex_;
  std::condition_variable freed_;
  int free_;  // connections that may still be leased
  std::vector<std::unique_ptr<pqxx::connection>> idle_;
};

/// Turns what libpqxx threw, now being handled, into DatabaseAway or DatabaseRefused.
[[noreturn]] void rethrow_as_ours();

/// True for an SQLSTATE that waiting may mend: connection, resources, shutdown, deadlock.
bool waiting_helps(const std::string& sqlstate);

template <typename Transaction, typename Body>
auto run(Database& database, Body&& body) {
  Database::Pool::Lease lease(database.pool());
  try {
    Transaction transaction(lease.connection());
    if constexpr (std::is_void_v<decltype(body(transaction))>) {
      body(transaction);
      transaction.commit();
    } else {
      auto result = body(transaction);
      transaction.commit();
      return result;
    }
  } catch (...) {
    try {
      rethrow_as_ours();
    } catch (const DatabaseAway&) {
      lease.drop();
      throw;
    }
  }
}

/// Runs `body(pqxx::work&)` in one transaction and commits it. Throws DatabaseAway or
/// DatabaseRefused; the transaction was then rolled back, or, after DatabaseAway, nobody knows.
template <typename Body>
auto change(Database& database, Body&& body) {
  return run<pqxx::work>(database, std::forward<Body>(body));
}

/// The same on one snapshot, reading only.
template <typename Body>
auto look(Database& database, Body&& body) {
  using Snapshot = pqxx::transaction<pqxx::repeatable_read, pqxx::read_only>;
  return run<Snapshot>(database, std::forward<Body>(body));
}

}  // namespace fixwright::store
