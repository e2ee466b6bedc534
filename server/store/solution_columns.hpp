#pragma once
/// The columns that `fix` and `emitter` share: a CrossFix.

#include <pqxx/pqxx>
#include <string>
#include <vector>

#include "server/model/fix.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

/// The columns of a CrossFix, which `solution_of` finds in a T. A refused one has no position
/// and no uncertainty.
template <typename T>
std::vector<Column<T>> solution_columns(const CrossFix& (*solution_of)(const T&));

/// What a SELECT must name for read_solution, of the table aliased `alias`.
std::string solution_select(const std::string& alias);

CrossFix read_solution(const pqxx::row& row);

}  // namespace fixwright::store
