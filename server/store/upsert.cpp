#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

/// The pieces of the statement, each a list with commas.
struct Lists {
  std::string names, keys, values, parameters, updates;
};

void append(std::string& list, const std::string& item) {
  list += (list.empty() ? "" : ", ") + item;
}

Lists lists_of(const std::vector<ColumnText>& columns) {
  Lists lists;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const ColumnText& column = columns[i];
    append(lists.names, column.name);
    append(lists.values, column.name + (column.cast.empty() ? "" : "::" + column.cast));
    append(lists.parameters, "$" + std::to_string(i + 1) + "::" + column.array_of + "[]");
    append(column.key ? lists.keys : lists.updates,
           column.key ? column.name : column.name + " = excluded." + column.name);
  }
  return lists;
}

}  // namespace

pqxx::result upsert(pqxx::transaction_base& tx, const std::string& table,
                    const std::vector<ColumnText>& columns, Guard guard) {
  const Lists lists = lists_of(columns);
  const std::string condition =
      guard == Guard::revision ? " WHERE " + table + ".revision <= excluded.revision" : "";
  std::vector<std::optional<std::string>> parameters;
  for (const ColumnText& column : columns) parameters.emplace_back(column.values);
  return execute(tx,
                 "INSERT INTO " + table + " (" + lists.names + ") SELECT " + lists.values +
                     " FROM unnest(" + lists.parameters + ") AS given (" + lists.names +
                     ") ON CONFLICT (" + lists.keys + ") DO UPDATE SET " + lists.updates +
                     condition + " RETURNING " + lists.keys,
                 parameters);
}

pqxx::result execute(pqxx::transaction_base& tx, const std::string& statement,
                     const std::vector<std::optional<std::string>>& parameters) {
  std::vector<const char*> values;
  for (const auto& parameter : parameters) {
    values.push_back(parameter ? parameter->c_str() : nullptr);
  }
  return tx.exec_params(statement, pqxx::prepare::make_dynamic_params(values));
}

}  // namespace fixwright::store
