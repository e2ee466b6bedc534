#pragma once
/// Which results of a playback take the place of those that are stored.

#include <map>
#include <set>
#include <vector>

#include "server/app/pipeline/pipeline.hpp"
#include "server/app/result_judge.hpp"
#include "server/store/recompute_book.hpp"

namespace fixwright::tools {

/// A playback begins where the bearings do, so that emitters keep their identities; only what it
/// says of the time since the begin of the stretch is written, in pieces. Results that will still
/// change are held back until they don't, emitters until the end.
class RecomputeHarvest {
 public:
  RecomputeHarvest(store::RecomputeSink& sink, TimePoint since) : sink_(sink), since_(since) {}

  void take(const app::PipelineOutput& output, const app::Judgement& judgement);
  /// The playback is over: writes the rest.
  void finish();

 private:
  void write_if_full();
  void write_emitters();

  store::RecomputeSink& sink_;
  const TimePoint since_;
  store::ResultBatch batch_;  // settled, not yet written
  std::map<TransmissionKey, Transmission> open_transmissions_;
  std::map<FixKey, Fix> open_fixes_;
  std::map<EmitterKey, Emitter> emitters_;
  std::map<EmitterKey, RegisterMatch> matches_;
  std::map<BearingOnlyKey, BearingOnly> bearing_only_;
  std::map<ChannelId, ChannelMemory> memories_;
  std::vector<EmitterEvent> events_;  // since then
};

}  // namespace fixwright::tools
