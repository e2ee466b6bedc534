#pragma once
/// Decisions as rows. Private to this folder.

#include <pqxx/pqxx>
#include <string>
#include <vector>

#include "server/model/decision.hpp"

namespace fixwright::store {

/// \param where  the rest of the statement, from WHERE on.
std::vector<EmitterDecision> read_decisions(pqxx::transaction_base& tx, const std::string& where,
                                            const std::vector<std::optional<std::string>>& values);

/// Adds it and fills in its id and time.
void insert_decision(pqxx::transaction_base& tx, EmitterDecision& decision);

/// Makes emitter_name say what the renames that stand say.
void refresh_name(pqxx::transaction_base& tx, EmitterKey emitter);

}  // namespace fixwright::store
