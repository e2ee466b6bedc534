#pragma once
/// libpq where libpqxx 6.4 falls short: binary COPY and results row by row. Private to this
/// folder.

#include <libpq-fe.h>

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "server/store/database.hpp"

namespace fixwright::store {

struct ClearResult {
  void operator()(PGresult* r) const { PQclear(r); }
};
using PqResult = std::unique_ptr<PGresult, ClearResult>;

/// A connection of its own. Every call throws DatabaseAway or DatabaseRefused; after that only
/// the destructor may be called.
class PqConnection {
 public:
  explicit PqConnection(const std::string& connection_text);

  /// A statement without parameters or results.
  void run(const char* statement);

  /// One statement with text parameters; the result is binary.
  PqResult ask(const char* statement, const std::vector<std::string>& parameters);

  /// The same, but rows are then fetched one by one with next(); nullptr after the last.
  void start(const char* statement, const std::vector<std::string>& parameters);
  PqResult next();

  /// `rows` is the whole COPY … FROM STDIN (FORMAT binary) data.
  void copy_in(const char* statement, const std::string& rows);

 private:
  struct Finish {
    void operator()(PGconn* c) const { PQfinish(c); }
  };

  PqResult checked(PGresult* result);
  [[noreturn]] void lost();

  std::unique_ptr<PGconn, Finish> connection_;
};

}  // namespace fixwright::store
