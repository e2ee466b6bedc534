#pragma once
/// Which of a channel's emitters are on the air in one transmission.

#include "server/track/association.hpp"

namespace fixwright::track {

/// Claims as by claim_bearings(), of the emitters that are likely on the air at all.
///
/// Two emitters that one station sees in nearly the same direction would share out the bearings
/// of either; each would then be pulled towards the other. So an emitter that stations which know
/// it did not hear is taken off the air where the whole is likelier without it: a bearing claimed
/// costs nu^2 / S + ln(2 pi S), a bearing that is nobody's and a station that missed its emitter
/// cost what they are improbable. One by one, the greatest gain first.
std::vector<Claim> claim_present(const ChannelTracks& tracks, std::span<const Bearing> bearings,
                                 const SiteErrors& sites, const TrackRules& rules);

}  // namespace fixwright::track
