#pragma once
/// An emitter's life: born, heard, confirmed, silent, returned, retired. By event time alone.

#include <span>
#include <vector>

#include "server/model/bearing.hpp"
#include "server/model/emitter.hpp"
#include "server/track/emitter_record.hpp"
#include "server/track/heard_bearing.hpp"
#include "server/track/rules.hpp"

namespace fixwright::track {

/// What happened to the emitters of a channel.
struct Changes {
  std::vector<EmitterEvent> events;
  std::vector<Emitter> ended;                 // retired now; no longer among the tracks
  std::vector<BearingOnly> ended_lines = {};  // of those worth showing
};

/// Lets time pass: those unheard for too long fall silent, are dropped or retired. Each change is
/// dated when it was due, so that it does not matter how often this is called.
void let_time_pass(ChannelTracks& tracks, TimePoint now, const TrackRules& rules, Changes& changes);

/// When let_time_pass next has something to do; TimePoint::max() for never.
TimePoint next_due(const ChannelTracks& tracks, const TrackRules& rules);

/// The emitter was heard in one transmission: counts, sums and both filters take the bearings in,
/// and its state follows. Its position is not touched: see settle().
/// \param heard  in EventOrder, not empty.
void hear(EmitterRecord& emitter, std::span<const HeardBearing> heard, const SiteErrors& sites,
          const TrackRules& rules, Changes& changes);

/// The parts of hear() that a birth needs: one bearing counted; one transmission heard by so many
/// stations at this time.
void count_bearing(Emitter& emitter, const Bearing& bearing);
void finish_transmission(EmitterRecord& emitter, int stations, TimePoint at,
                         const TrackRules& rules, Changes& changes);

}  // namespace fixwright::track
