#pragma once
/// What people decided about emitters: written here, and read back.

#include <map>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/decision.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// Each call is one transaction. Throws DatabaseAway (call again) or DatabaseRefused.
class DecisionBook {
 public:
  explicit DecisionBook(Database& database) : database_(database) {}

  /// Decides, or says in one line why that can't be: an emitter or decision that is not there,
  /// one that changes nothing, one that was taken back already. Two at once wait for each other.
  /// \param wish  its id, at and undone_by are ignored; for an undo its emitter too.
  /// \return the decision as it is kept.
  Result<EmitterDecision> decide(EmitterDecision wish);

  /// Those about this emitter, oldest first, taken back or not.
  std::vector<EmitterDecision> of(EmitterKey emitter);
  /// Those decided after the one with this id, oldest first.
  std::vector<EmitterDecision> after(std::int64_t id);

  /// Every emitter that is marked, by what stands.
  std::map<EmitterKey, EmitterMarks> marks();
  /// Every emitter that was merged into another, by what stands; chains are resolved.
  Redirects redirects();

 private:
  Database& database_;
};

}  // namespace fixwright::store
