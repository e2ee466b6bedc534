#pragma once
/// The register of licences, its imports and versions, and people's word on emitters.

#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/register_import.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// How far the register has come. Another state: read it again.
struct RegisterState {
  std::int64_t imports = 0;   // id of the last
  std::int64_t opinions = 0;  // how many were ever given
  friend bool operator==(const RegisterState&, const RegisterState&) = default;
};

/// Each call is one transaction. Throws DatabaseAway (call again) or DatabaseRefused.
class RegisterBook {
 public:
  explicit RegisterBook(Database& database) : database_(database) {}

  RegisterState state();
  std::vector<Licence> licences();  // as last imported, by id
  /// Those an import ended, as they last were, valid no longer than to that import; by id.
  std::vector<Licence> former();

  /// Keeps the versions that change or end, then puts the new ones in place.
  /// \param seen  state().imports when the difference was made; DatabaseRefused if another import
  ///              came between. What `note` says of id, at and counts is filled in.
  RegisterImport import(const RegisterDifference& difference, RegisterImport note,
                        std::int64_t seen);

  std::vector<RegisterImport> imports();                 // newest first
  std::vector<LicenceVersion> versions(std::string id);  // of one entry, oldest first

  /// Keeps a person's word and shows it at once; a running server goes on from it. Fails, with one
  /// line, for an emitter or an entry that is not there, and without a note or a name.
  Result<RegisterOpinion> decide(RegisterOpinion wish);
  /// The latest of each emitter; those that give the word back to the register left out.
  std::vector<RegisterOpinion> opinions();

 private:
  Database& database_;
};

}  // namespace fixwright::store
