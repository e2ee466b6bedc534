#pragma once
/// Still or moving, and the position that follows from it.

#include "server/model/fix.hpp"
#include "server/track/lifecycle.hpp"

namespace fixwright::track {

/// Decides by the likelihood ratio of the two hypotheses whether the emitter stands still; a
/// change of mind is a `moved` event. One that comes to rest opens a new place: sums of the old
/// one are forgotten.
void choose_motion(EmitterRecord& emitter, TimePoint at, const TrackRules& rules, Changes& changes);

/// Hands a still emitter the cross-fix of its sums. A refused one leaves the position as it was.
void settle_still(EmitterRecord& emitter, CrossFix fix_of_sums);

/// Reads a moving emitter's position, ellipse and velocity off its track.
void settle_moving(EmitterRecord& emitter);

}  // namespace fixwright::track
