#include "station_agent/spool/sqlite.hpp"

namespace fixwright::agent {

SqliteHandle open_sqlite(const std::string& path) {
  sqlite3* raw = nullptr;
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_FULLMUTEX;
  const int code = sqlite3_open_v2(path.c_str(), &raw, flags, nullptr);
  SqliteHandle db(raw);  // also a failed open leaves a handle to close
  if (code != SQLITE_OK) throw SqliteError(sqlite3_errstr(code));
  return db;
}

void execute(sqlite3* db, const char* sql) {
  if (sqlite3_exec(db, sql, nullptr, nullptr, nullptr) != SQLITE_OK) {
    throw SqliteError(sqlite3_errmsg(db));
  }
}

Statement::Statement(sqlite3* db, std::string_view sql) : db_(db) {
  sqlite3_stmt* raw = nullptr;
  check(sqlite3_prepare_v3(db, sql.data(), static_cast<int>(sql.size()), 0, &raw, nullptr));
  statement_.reset(raw);
}

Statement& Statement::bind(int place, std::int64_t value) {
  check(sqlite3_bind_int64(statement_.get(), place, value));
  return *this;
}

Statement& Statement::bind_blob(int place, std::string_view value) {
  // A null pointer would bind NULL, not an empty blob.
  const char* data = value.empty() ? "" : value.data();
  check(sqlite3_bind_blob64(statement_.get(), place, data, value.size(), SQLITE_TRANSIENT));
  return *this;
}

Statement& Statement::bind_text(int place, std::string_view value) {
  const char* data = value.empty() ? "" : value.data();
  check(sqlite3_bind_text64(statement_.get(), place, data, value.size(), SQLITE_TRANSIENT,
                            SQLITE_UTF8));
  return *this;
}

bool Statement::step() {
  const int code = sqlite3_step(statement_.get());
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  const std::string why = sqlite3_errmsg(db_);
  sqlite3_reset(statement_.get());  // or it would hold the transaction open
  throw SqliteError(why);
}

void Statement::run() {
  while (step()) {
  }
  reset();
}

void Statement::reset() {
  sqlite3_reset(statement_.get());
  sqlite3_clear_bindings(statement_.get());
}

bool Statement::is_null(int column) const {
  return sqlite3_column_type(statement_.get(), column) == SQLITE_NULL;
}

std::int64_t Statement::integer(int column) const {
  return sqlite3_column_int64(statement_.get(), column);
}

std::string Statement::bytes(int column) const {
  const auto* data = static_cast<const char*>(sqlite3_column_blob(statement_.get(), column));
  const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement_.get(), column));
  return data == nullptr ? std::string{} : std::string(data, size);
}

void Statement::check(int code) const {
  if (code != SQLITE_OK) throw SqliteError(sqlite3_errmsg(db_));
}

Transaction::Transaction(sqlite3* db) : db_(db) { execute(db_, "BEGIN IMMEDIATE"); }

Transaction::~Transaction() {
  if (open_) sqlite3_exec(db_, "ROLLBACK", nullptr, nullptr, nullptr);
}

void Transaction::commit() {
  execute(db_, "COMMIT");
  open_ = false;
}

}  // namespace fixwright::agent
