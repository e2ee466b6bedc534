#pragma once
/// One function a table: rows of a ResultBatch into an open transaction. Nothing for none.

#include <pqxx/pqxx>
#include <vector>

#include "server/store/result_writer.hpp"

namespace fixwright::store {

void write_transmissions(pqxx::work& tx, const std::vector<Transmission>& transmissions);
void write_fixes(pqxx::work& tx, const std::vector<Fix>& fixes);  // and their bearings
void write_emitters(pqxx::work& tx, const std::vector<Emitter>& emitters);
void write_events(pqxx::work& tx, const std::vector<EmitterEvent>& events);
void write_track_points(pqxx::work& tx, const std::vector<TrackPoint>& points);
void write_bearing_only(pqxx::work& tx, const std::vector<BearingOnly>& lines);
void write_matches(pqxx::work& tx, const std::vector<RegisterMatch>& matches);
void write_memories(pqxx::work& tx, const std::vector<ChannelMemory>& memories);

/// All of them, and what they count for in the hours; alerts and deliveries left out.
void write_batch(pqxx::work& tx, const ResultBatch& batch);

}  // namespace fixwright::store
