#pragma once
/// One emitter that turns out to be two.

#include "server/track/lifecycle.hpp"

namespace fixwright::track {

/// Splits a still, believed emitter whose looks scatter as those of two (Scatter): it moves to one
/// of the places, a new emitter takes the other. What was known of the one place guides
/// where both are sought; the looks to come decide. Both rest there until they are seen to move:
/// what was known of the motion of the middle is known of neither.
/// \param key  of the new one; greater than all there are.
/// \return true when it did; the places of both have to be solved anew.
bool split_twins(ChannelTracks& tracks, std::size_t emitter, EmitterKey key, TimePoint at,
                 const TrackRules& rules, Changes& changes);

}  // namespace fixwright::track
