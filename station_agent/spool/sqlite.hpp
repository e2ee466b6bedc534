#pragma once
/// The little of SQLite that the spool needs, with lifetimes that end by themselves. Failures
/// are exceptions inside this folder; Spool turns them into Results.

#include <sqlite3.h>

#include <cstdint>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>

namespace fixwright::agent {

class SqliteError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

struct SqliteClose {
  void operator()(sqlite3* db) const { sqlite3_close_v2(db); }
};
using SqliteHandle = std::unique_ptr<sqlite3, SqliteClose>;

SqliteHandle open_sqlite(const std::string& path);
void execute(sqlite3* db, const char* sql);

/// A prepared statement: bind in order, step, read columns, reset.
class Statement {
 public:
  Statement(sqlite3* db, std::string_view sql);

  Statement& bind(int place, std::int64_t value);
  Statement& bind_blob(int place, std::string_view value);
  Statement& bind_text(int place, std::string_view value);
  /// \return true while there is a row.
  bool step();
  /// Steps to the end, forgets the bindings.
  void run();
  void reset();
  [[nodiscard]] bool is_null(int column) const;
  [[nodiscard]] std::int64_t integer(int column) const;
  [[nodiscard]] std::string bytes(int column) const;

 private:
  struct Finalize {
    void operator()(sqlite3_stmt* s) const { sqlite3_finalize(s); }
  };
  void check(int code) const;
  sqlite3* db_;
  std::unique_ptr<sqlite3_stmt, Finalize> statement_;
};

/// Rolls back unless committed.
class Transaction {
 public:
  explicit Transaction(sqlite3* db);
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  ~Transaction();
  void commit();

 private:
  sqlite3* db_;
  bool open_ = true;
};

}  // namespace fixwright::agent
