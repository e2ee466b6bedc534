#pragma once
/// Who gets which bearing of one transmission: known emitters first, then whoever is new.

#include <vector>

#include "server/app/pipeline/fold_context.hpp"
#include "server/app/pipeline/free_group.hpp"
#include "server/track/explanation.hpp"

namespace fixwright::app {

struct Sharing {
  track::Explanation explained;      // by the known emitters
  std::vector<track::Claim> claims;  // one a bearing: as explained, but for what groups took
  std::vector<FreeGroup> groups;     // accepted ones, or one that was refused, or none
};

/// Claims first, then locate on what is left over.
///
/// An emitter that only one station seems to hear is a weak claim: the bearing may as well be
/// somebody else's. Such bearings take part in the search for new emitters; where groups of three
/// stations explain them better than the known emitters do, they are theirs. Else they go back.
Sharing share_bearings(const track::ChannelTracks& tracks, const Transmission& transmission,
                       const FoldContext& context);

}  // namespace fixwright::app
