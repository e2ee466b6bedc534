#pragma once
/// Two records that turn out to be one emitter.

#include "server/track/claim.hpp"
#include "server/track/lifecycle.hpp"

namespace fixwright::track {

/// Remembers which emitters of the channel a station heard at the same instant: those can never
/// be one.
void note_distinct(ChannelTracks& tracks, std::span<const Bearing> bearings,
                   const std::vector<Claim>& claims);

/// Joins still emitters whose places agree within both uncertainties and that were never heard
/// side by side. The better known survives and takes the other's sums; the other is retired.
/// \return keys of the survivors, whose position wants solving again.
std::vector<EmitterKey> merge_duplicates(ChannelTracks& tracks, TimePoint at,
                                         const TrackRules& rules, Changes& changes);

}  // namespace fixwright::track
