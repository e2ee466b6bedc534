#include "server/store/ask.hpp"

#include "server/store/pool.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Values = std::vector<std::optional<std::string>>;

struct Columns {
  std::string cells;  // those that are no geometry, as SQL lists them
  bool geometry = false;
};

Columns columns_of(pqxx::transaction_base& tx, const std::string& select, const Values& values) {
  const auto geometry = tx.exec1("SELECT 'geometry'::regtype::oid")[0].as<pqxx::oid>();
  const pqxx::result none = execute(tx, "SELECT * FROM (" + select + ") AS q LIMIT 0", values);
  Columns columns;
  for (pqxx::row_size_type i = 0; i < none.columns(); ++i) {
    if (none.column_type(i) == geometry) {
      columns.geometry = true;
    } else {
      columns.cells += (columns.cells.empty() ? "" : ", ") + tx.quote_name(none.column_name(i));
    }
  }
  return columns;
}

Answer answer_of(const pqxx::result& result) {
  Answer answer;
  for (pqxx::row_size_type i = 0; i < result.columns(); ++i) {
    answer.columns.emplace_back(result.column_name(i));
  }
  for (const pqxx::row& row : result) {
    auto& cells = answer.rows.emplace_back();
    for (const pqxx::field& field : row) {
      cells.push_back(field.is_null() ? std::nullopt : std::optional<std::string>(field.c_str()));
    }
  }
  return answer;
}

}  // namespace

Answer ask(Database& database, const std::string& select, const std::vector<std::string>& values,
           AnswerForm form, int at_most_s) {
  const Values given(values.begin(), values.end());
  return look(database, [&](auto& tx) {
    tx.exec0("SET LOCAL statement_timeout = '" + std::to_string(at_most_s) + "s'");
    const Columns columns = columns_of(tx, select, given);
    if (form == AnswerForm::geojson && !columns.geometry) {
      throw DatabaseRefused("no column is a geometry");
    }
    const std::string wanted = form == AnswerForm::cells ? columns.cells : "ST_AsGeoJSON(q)";
    return answer_of(execute(tx, "SELECT " + wanted + " FROM (" + select + ") AS q", given));
  });
}

}  // namespace fixwright::store
