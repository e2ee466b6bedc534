#pragma once
/// The register as the database has it, for the judge.

#include <map>
#include <memory>

#include "server/model/register_import.hpp"
#include "server/register/register.hpp"
#include "server/store/register_book.hpp"

namespace fixwright::app {

struct KnownRegister {
  store::RegisterState state;
  std::shared_ptr<const register_::Register> licences;  // with those that an import ended
  std::map<EmitterKey, RegisterOpinion> opinions;
};

/// Throws when the database is away.
KnownRegister load_register(store::Database& database, const register_::RegisterRules& rules);

}  // namespace fixwright::app
