#pragma once
/// Who gets which bearing of one transmission: known emitters first, then whoever is new.

#include <vector>

#include "server/app/pipeline/fold_context.hpp"
#include "server/app/pipeline/free_group.hpp"
#include "server/track/association.hpp"

namespace fixwright::app {

struct Sharing {
  std::vector<track::Claim> claims;  // one a bearing
  std::vector<FreeGroup> groups;     // accepted ones, or one that was refused, or none
};

/// Claims first, then locate on what is left over.
///
/// An emitter that only one station seems to hear is a weak claim: the bearing may as well be
/// somebody else's. Such bearings take part in the search for new emitters; where three stations
/// agree on one, they are its. Else they go back, unless another emitter is surely on the air.
Sharing share_bearings(const track::ChannelTracks& tracks, const Transmission& transmission,
                       const FoldContext& context);

}  // namespace fixwright::app
