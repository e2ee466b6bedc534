#pragma once
/// Who is on the air in one transmission, and whose each bearing is.
///
/// Every set of the channel's emitters that could have sent any of the bearings is weighed: by how
/// often each is on the air, by who hears or misses it, and by how well the bearings fit. Of those
/// a station hears at one instant each sends at most one bearing; every such assignment counts with
/// its probability (Y. Bar-Shalom, F. Daum, J. Huang, IEEE Control Systems Magazine 29 (2009) 82).
/// So where two emitters look alike from a station, neither is pulled towards the other: a bearing
/// taken whole by the nearer one would do that, however many follow.

#include <span>
#include <utility>
#include <vector>

#include "server/track/association.hpp"
#include "server/track/claim.hpp"

namespace fixwright::track {

/// Of one emitter: probabilities.
struct Presence {
  double on_air = 0.0;
  std::vector<std::pair<StationId, double>> heard;  // by station that heard anything
};

struct Explanation {
  std::vector<Claim> claims;       // one a bearing, in the order given
  std::vector<Presence> presence;  // one an emitter
  /// ln of the likelihood of the bearings, over that of their being nobody's.
  double log_likelihood = 0.0;
};

/// \param bearings  of one transmission, in EventOrder.
Explanation explain(const ChannelTracks& tracks, std::span<const Bearing> bearings,
                    const SiteErrors& sites, const TrackRules& rules);

/// The emitters learn from it when they are on the air and who hears them.
void learn_habits(ChannelTracks& tracks, const Explanation& explanation);

}  // namespace fixwright::track
