#include "server/tools/recompute_harvest.hpp"

#include <utility>

namespace fixwright::tools {

namespace {

/// Rows of one statement: large enough for its cost to be shared, small in memory.
constexpr std::size_t kPiece = 2000;

/// Moves a result that may still change into `open`, one that won't from there into `settled`.
template <typename Key, typename Row>
void sort_in(const Key& key, const Row& row, std::map<Key, Row>& open, std::vector<Row>& settled) {
  if (row.state == ResultState::provisional || row.state == ResultState::revised) {
    open.insert_or_assign(key, row);
    return;
  }
  const bool was_open = open.erase(key) > 0;
  // What is withdrawn before it was written is in the tables as withdrawn already, or not at all.
  if (row.state == ResultState::withdrawn && was_open) return;
  settled.push_back(row);
}

template <typename Key, typename Row>
void move_all(std::map<Key, Row>& from, std::vector<Row>& to) {
  for (auto& [key, row] : from) to.push_back(std::move(row));
  from.clear();
}

}  // namespace

void RecomputeHarvest::take(const app::PipelineOutput& output, const app::Judgement& judgement) {
  for (const Transmission& t : output.transmissions) {
    if (t.key.start >= since_) sort_in(t.key, t, open_transmissions_, batch_.transmissions);
  }
  for (const Fix& f : output.fixes) {
    if (f.key.transmission.start >= since_) sort_in(f.key, f, open_fixes_, batch_.fixes);
  }
  for (const TrackPoint& p : output.track_points) {
    if (p.at >= since_) batch_.track_points.push_back(p);
  }
  for (const Emitter& e : output.emitters) emitters_.insert_or_assign(e.key, e);
  for (const RegisterMatch& m : judgement.matches) matches_.insert_or_assign(m.emitter, m);
  for (const BearingOnly& b : output.bearing_only) bearing_only_.insert_or_assign(b.key, b);
  for (const ChannelMemory& m : output.memories) memories_.insert_or_assign(m.channel, m);
  for (const EmitterEvent& v : output.events) {
    if (v.at >= since_) events_.push_back(v);
  }
  write_if_full();
}

void RecomputeHarvest::finish() {
  move_all(open_transmissions_, batch_.transmissions);
  move_all(open_fixes_, batch_.fixes);
  std::erase_if(bearing_only_, [&](const auto& b) { return b.second.last_heard < since_; });
  move_all(bearing_only_, batch_.bearing_only);
  move_all(memories_, batch_.memories);
  sink_.write(std::exchange(batch_, {}));
  write_emitters();
}

void RecomputeHarvest::write_if_full() {
  if (batch_.transmissions.size() + batch_.fixes.size() + batch_.track_points.size() < kPiece) {
    return;
  }
  sink_.write(std::exchange(batch_, {}));
}

void RecomputeHarvest::write_emitters() {
  std::set<EmitterKey> changed = sink_.replaced();
  for (const EmitterEvent& v : events_) changed.insert(v.emitter);
  for (const auto& [key, e] : emitters_) {
    if (e.last_heard >= since_) changed.insert(key);
  }
  store::ResultBatch batch;
  for (const EmitterKey& key : changed) {
    const auto emitter = emitters_.find(key);
    if (emitter == emitters_.end()) continue;
    batch.emitters.push_back(emitter->second);
    if (const auto match = matches_.find(key); match != matches_.end()) {
      batch.matches.push_back(match->second);
    }
    if (batch.emitters.size() >= kPiece) sink_.write(std::exchange(batch, {}));
  }
  batch.events = std::move(events_);
  sink_.write(batch);
}

}  // namespace fixwright::tools
