#pragma once
/// The statements of a run that computes history again, on its open transaction. Private to this
/// folder.

#include <pqxx/pqxx>
#include <set>

#include "server/model/ids.hpp"
#include "server/store/recompute_book.hpp"

namespace fixwright::store {

/// Which rows a run is about.
struct RecomputeStretch {
  std::int64_t run = 0;
  std::string since;                    // as timestamptz
  std::string since_id;                 // as a transmission_id
  std::optional<std::string> channels;  // array literal; nothing: all
  std::uint32_t revision = 0;           // of what is withdrawn and retired
};

/// Holds the turn of all who write results; throws DatabaseRefused when that isn't for us to take.
void take_turn(pqxx::work& tx);

/// Opens the run: its row, with nothing counted yet.
RecomputeStretch begin_run(pqxx::work& tx, const RecomputeOrder& order);

/// Copies the stretch to the *_before tables and takes it out of force. \return whose emitters.
std::set<EmitterKey> set_aside(pqxx::work& tx, const RecomputeStretch& stretch);

/// All emitters of the channels that have a row.
std::set<EmitterKey> known_emitters(pqxx::work& tx, const RecomputeStretch& stretch);

/// As RecomputeSink says.
SharedBearings shared_bearings(pqxx::work& tx, const RecomputeStretch& stretch,
                               const std::vector<UsedBearing>& bearings);

/// Those were not found again.
void retire(pqxx::work& tx, const RecomputeStretch& stretch, const std::set<EmitterKey>& gone,
            TimePoint at);

/// Counts what came of it, into the run's row too.
RecomputeSummary count_run(pqxx::work& tx, const RecomputeStretch& stretch,
                           std::size_t emitters_new);

}  // namespace fixwright::store
