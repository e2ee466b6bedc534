#pragma once
/// Licences as rows. Private to this folder.

#include <string>
#include <vector>

#include "server/model/register_import.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

/// What table licence holds of a version: the entry and the import it came with.
std::vector<Column<LicenceVersion>> licence_columns();

/// The names of those columns but import_id, with commas.
std::string licence_names();

/// To select a licence for licence_of().
std::string select_licence();
Licence licence_of(const pqxx::row& row);

}  // namespace fixwright::store
