#pragma once
/// One transmission folded into the emitters of its channel: the one place that knows the order
/// locate, track. A pure function of the state before and the bearings.

#include <vector>

#include "server/app/pipeline/fold_context.hpp"
#include "server/app/pipeline/track_trails.hpp"
#include "server/model/fix.hpp"
#include "server/model/transmission.hpp"
#include "server/track/emitter_record.hpp"
#include "server/track/lifecycle.hpp"

namespace fixwright::app {

/// What one transmission gave. Fixes carry the state of the transmission, and revision 1.
struct FoldResult {
  std::vector<Fix> fixes;  // ordinals 0, 1, ...: known emitters by key, then new groups
  track::Changes changes;
  std::vector<TrackStep> track;
};

/// \param tracks  the channel's emitters before; afterwards, after.
FoldResult fold_transmission(track::ChannelTracks& tracks, const Transmission& transmission,
                             const FoldContext& context);

}  // namespace fixwright::app
