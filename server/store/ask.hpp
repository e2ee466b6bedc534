#pragma once
/// One query of a person: values in as text, rows out as text.

#include <optional>
#include <string>
#include <vector>

#include "server/store/database.hpp"

namespace fixwright::store {

enum class AnswerForm {
  cells,   // a cell a column; geometries are left out
  geojson  // one column, a GeoJSON Feature a row, drawn from the first geometry
};

struct Answer {
  std::vector<std::string> columns;
  std::vector<std::vector<std::optional<std::string>>> rows;  // nothing is NULL
};

/// \param select      one SELECT of ours without a semicolon; $1 is the first value
/// \param at_most_s   seconds the database may take, 1 to 3600
/// Reads only, whoever connects. Throws DatabaseAway, or DatabaseRefused with the database's
/// complaint, which for geojson is also that no column is a geometry.
Answer ask(Database& database, const std::string& select, const std::vector<std::string>& values,
           AnswerForm form, int at_most_s);

}  // namespace fixwright::store
