#pragma once
/// Emitters heard by one station only: their lines, kept until a second station hears them.

#include <span>

#include "server/model/bearing.hpp"
#include "server/track/lifecycle.hpp"

namespace fixwright::track {

/// One fixed station alone heard the transmission, and no known emitter explains any of it: each
/// bearing joins the line it agrees with best, within rules.gate_sigmas, or begins one.
/// \param heard  in EventOrder, not empty, all of one station.
/// \param start  of the transmission.
void hear_alone(ChannelTracks& tracks, std::span<const Bearing> heard, TimePoint start,
                const SiteErrors& sites, const TrackRules& rules);

/// Lines that point at an emitter that is believed and at rest, within rules.gate_sigmas and its
/// error ellipse, are its own: they end as located.
void locate_lines(ChannelTracks& tracks, const TrackRules& rules, Changes& changes);

/// Whether people are shown it: heard often enough that it is no string of false bearings.
bool worth_showing(const LoneLine& line, const TrackRules& rules);

/// How many emitters and lines are worth remembering over a stop.
std::size_t worth_remembering(const ChannelTracks& tracks, const TrackRules& rules);

/// The lines' part of let_time_pass() and next_due().
void end_silent_lines(ChannelTracks& tracks, TimePoint now, const TrackRules& rules,
                      Changes& changes);
TimePoint next_line_due(const ChannelTracks& tracks, const TrackRules& rules);

}  // namespace fixwright::track
