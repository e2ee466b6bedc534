#pragma once
/// New emitters, from what nobody claimed.

#include "server/track/claim.hpp"
#include "server/track/lifecycle.hpp"

namespace fixwright::track {

/// A cross-fix of bearings that nobody claimed.
struct Candidacy {
  CrossFix fix;                     // accepted
  std::vector<HeardBearing> heard;  // those the fix used, in EventOrder
  int stations = 0;                 // that contributed them
  /// Nothing else was heard in the transmission: no other emitter, no bearing left over.
  bool alone = false;
};

/// Whether it gives birth: three stations within the span whose chi-square is no less probable
/// than rules.birth_chi_square with one degree of freedom; or, so that people see what two
/// stations hear, two stations alone, as a tentative emitter that only a third can confirm.
bool may_be_born(const Candidacy& c, const TrackRules& rules);

/// The index of the emitter that is already at this place, or kNobody. One that a station heard
/// beside the candidate, at the same instant, is somebody else.
int known_at(const ChannelTracks& tracks, const Candidacy& c, const std::vector<Claim>& claims,
             std::span<const Bearing> bearings, const TrackRules& rules);

/// Adds the emitter, keeps the tracks in order of key, and returns its index.
std::size_t give_birth(ChannelTracks& tracks, EmitterKey key, const Candidacy& c,
                       const SiteErrors& sites, const TrackRules& rules, Changes& changes);

}  // namespace fixwright::track
