#include "server/store/pq.hpp"

#include <algorithm>

#include "server/store/connection_text.hpp"
#include "server/store/pool.hpp"

namespace fixwright::store {

namespace {

std::vector<const char*> pointers(const std::vector<std::string>& parameters) {
  std::vector<const char*> result;
  for (const std::string& p : parameters) result.push_back(p.c_str());
  return result;
}

}  // namespace

PqConnection::PqConnection(const std::string& connection_text)
    : connection_(PQconnectdb(connection_text.c_str())) {
  if (PQstatus(connection_.get()) != CONNECTION_OK) {
    throw DatabaseAway("no database: " + one_line(PQerrorMessage(connection_.get())));
  }
  // Else libpq writes to standard error; what matters comes with the exceptions.
  PQsetNoticeProcessor(
      connection_.get(), [](void*, const char*) {}, nullptr);
}

void PqConnection::lost() {
  throw DatabaseAway("lost the database: " + one_line(PQerrorMessage(connection_.get())));
}

PqResult PqConnection::checked(PGresult* raw) {
  PqResult result(raw);
  switch (PQresultStatus(raw)) {
    case PGRES_COMMAND_OK:
    case PGRES_TUPLES_OK:
    case PGRES_SINGLE_TUPLE:
    case PGRES_COPY_IN:
      return result;
    default:
      break;
  }
  const char* state = raw != nullptr ? PQresultErrorField(raw, PG_DIAG_SQLSTATE) : nullptr;
  if (state == nullptr || waiting_helps(state)) lost();
  throw DatabaseRefused("the database refused: " + one_line(PQresultErrorMessage(raw)));
}

void PqConnection::run(const char* statement) { checked(PQexec(connection_.get(), statement)); }

PqResult PqConnection::ask(const char* statement, const std::vector<std::string>& parameters) {
  const auto values = pointers(parameters);
  return checked(PQexecParams(connection_.get(), statement, static_cast<int>(values.size()),
                              nullptr, values.data(), nullptr, nullptr, 1));
}

void PqConnection::start(const char* statement, const std::vector<std::string>& parameters) {
  const auto values = pointers(parameters);
  if (PQsendQueryParams(connection_.get(), statement, static_cast<int>(values.size()), nullptr,
                        values.data(), nullptr, nullptr, 1) != 1 ||
      PQsetSingleRowMode(connection_.get()) != 1) {
    lost();
  }
}

PqResult PqConnection::next() {
  PqResult row = checked(PQgetResult(connection_.get()));
  if (PQresultStatus(row.get()) == PGRES_SINGLE_TUPLE) return row;
  while (PGresult* rest = PQgetResult(connection_.get())) PQclear(rest);
  return nullptr;
}

void PqConnection::copy_in(const char* statement, const std::string& rows) {
  run(statement);
  constexpr std::size_t kChunk = 1U << 20U;  // PQputCopyData takes an int
  for (std::size_t at = 0; at < rows.size(); at += kChunk) {
    const auto n = static_cast<int>(std::min(kChunk, rows.size() - at));
    if (PQputCopyData(connection_.get(), rows.data() + at, n) != 1) lost();
  }
  if (PQputCopyEnd(connection_.get(), nullptr) != 1) lost();
  checked(PQgetResult(connection_.get()));
  while (PGresult* rest = PQgetResult(connection_.get())) PQclear(rest);
}

}  // namespace fixwright::store
