#pragma once
/// What a report on an emitter rests on, from the views; and whether it still stands.

#include <optional>
#include <vector>

#include "server/model/evidence.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

struct EvidenceOrder {
  EmitterKey emitter;
  TimePoint from, until;
  std::size_t most_bearings = 2000;  // the newest
};

/// \return nothing when there is no such emitter. Throws DatabaseAway, DatabaseRefused.
std::optional<EmitterEvidence> read_evidence(Database& database, const EvidenceOrder& order);

/// The digest of each as it is now, in their order; empty for one that is no longer there.
std::vector<std::string> read_digests(Database& database,
                                      const std::vector<BearingReference>& bearings);

}  // namespace fixwright::store
