#pragma once
/// Known emitters claim their bearings before any new cross-fix forms: what is left over is
/// free to be somebody new. The other order makes ghosts where two share a channel.

#include <span>
#include <vector>

#include "server/model/bearing.hpp"
#include "server/track/emitter_record.hpp"
#include "server/track/rules.hpp"

namespace fixwright::track {

inline constexpr int kNobody = -1;

/// Whose one bearing is.
struct Claim {
  int emitter = kNobody;     // index into ChannelTracks::emitters
  double azimuth_deg = 0.0;  // the azimuth believed, as sent: the main one or an alternative
  double cost = 0.0;         // nu^2 / S + ln S
};

/// What an emitter expects of a bearing: from its place, or from its track when it moves.
Prediction predict(const EmitterRecord& emitter, const Bearing& bearing, const SiteErrors& sites);

/// One claim a bearing, in the order given.
///
/// A bearing may be claimed within the gate (rules.gate_sigmas of sqrt(S)), at cost
/// nu^2 / S + ln S; of one station's bearings of one instant, an emitter claims at most one, and
/// the claims of the instant together cost least. Believed emitters choose before tentative ones.
/// \param bearings  of one transmission, in EventOrder.
/// \param on_air  by emitter: whether it may claim; empty for all.
std::vector<Claim> claim_bearings(const ChannelTracks& tracks, std::span<const Bearing> bearings,
                                  const SiteErrors& sites, const TrackRules& rules,
                                  const std::vector<bool>& on_air = {});

}  // namespace fixwright::track
