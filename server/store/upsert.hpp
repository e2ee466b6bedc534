#pragma once
/// Many rows in one statement: each column travels as one array parameter and is unnested.
/// Table and column names are ours; data never enters the statement's text.

#include <algorithm>
#include <functional>
#include <map>
#include <pqxx/pqxx>
#include <string>
#include <utility>
#include <vector>

#include "server/store/text_array.hpp"

namespace fixwright::store {

/// What a table's column holds of a T.
template <typename T>
struct Column {
  std::string name;
  std::string array_of;  // element type of the parameter
  std::function<void(TextArray&, const T&)> add;
  bool key = false;
  std::string cast = "";  // from array_of to the column's type, where they differ
};

struct ColumnText {
  std::string name;
  std::string array_of;
  bool key = false;
  std::string cast;
  std::string values;  // literal of the array
};

enum class Guard {
  none,
  revision,  // leave the row alone if its revision is higher
};

/// INSERT … ON CONFLICT (keys) DO UPDATE. \pre no two rows have the same key.
/// \return the keys of the rows that were written.
pqxx::result upsert(pqxx::transaction_base& tx, const std::string& table,
                    const std::vector<ColumnText>& columns, Guard guard);

/// Runs a statement of ours with any number of text parameters; nullopt is NULL.
pqxx::result execute(pqxx::transaction_base& tx, const std::string& statement,
                     const std::vector<std::optional<std::string>>& parameters);

template <typename T>
std::vector<ColumnText> fill(const std::vector<Column<T>>& columns,
                             const std::vector<const T*>& rows) {
  std::vector<ColumnText> filled;
  for (const Column<T>& column : columns) {
    TextArray values;
    for (const T* row : rows) column.add(values, *row);
    filled.push_back({column.name, column.array_of, column.key, column.cast, values.literal()});
  }
  return filled;
}

/// One row a key, in rising key order so that two writers never wait for each other: the one
/// with the highest rank, the last of equals.
template <typename T, typename KeyOf, typename RankOf>
std::vector<const T*> latest(const std::vector<T>& rows, KeyOf key_of, RankOf rank_of) {
  std::map<decltype(key_of(rows.front())), const T*> by_key;
  for (const T& row : rows) {
    const T*& held = by_key.try_emplace(key_of(row), &row).first->second;
    if (rank_of(row) >= rank_of(*held)) held = &row;
  }
  std::vector<const T*> result;
  for (const auto& [key, row] : by_key) result.push_back(row);
  return result;
}

}  // namespace fixwright::store
