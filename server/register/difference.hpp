#pragma once
/// What a new file of the register changes. Pure: a dry run asks it too.

#include <set>
#include <string>
#include <vector>

#include "server/model/register_import.hpp"

namespace fixwright::register_ {

/// By id; ids are unique on each side.
/// \param kept  ids of rows that were refused: their entries stay as they are, for a misprint must
///              not end a licence.
RegisterDifference difference(const std::vector<Licence>& before, const std::vector<Licence>& after,
                              const std::set<std::string>& kept = {});

/// Whether the difference ends so much (a fifth of 20 entries or more) that the file is likelier
/// to be cut off than the register to be thinned out.
bool ends_too_many(const RegisterDifference& difference);

/// What parts two versions: "frequency_hz 156800000 -> 156850000; holder ...". Empty: nothing.
std::string change_text(const Licence& before, const Licence& after);

}  // namespace fixwright::register_
