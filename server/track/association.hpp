#pragma once
/// Which bearings could be a known emitter's, and how well each would fit.

#include <cstddef>
#include <span>
#include <vector>

#include "server/model/bearing.hpp"
#include "server/track/emitter_record.hpp"
#include "server/track/rules.hpp"

namespace fixwright::track {

/// What an emitter expects of a bearing: from its place, or from its track when it moves.
Prediction predict(const EmitterRecord& emitter, const Bearing& bearing, const SiteErrors& sites);

/// A bearing within an emitter's gate: rules.gate_sigmas of sqrt(S).
struct Option {
  std::size_t bearing = 0;   // index into the bearings
  int emitter = 0;           // index into ChannelTracks::emitters
  double azimuth_deg = 0.0;  // the azimuth believed, as sent: the main one or an alternative
  double density = 0.0;      // of it, if it is the emitter's: per degree; an alternative pays
};

/// All options, by bearing, then by emitter. A mover whose place is hardly known has none; nor
/// has any mover for an unsynchronised bearing.
std::vector<Option> options_of(const ChannelTracks& tracks, std::span<const Bearing> bearings,
                               const SiteErrors& sites, const TrackRules& rules);

}  // namespace fixwright::track
