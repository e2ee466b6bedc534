#pragma once
/// A transmitter that moved house: the old place fell silent, a new one speaks in its stead.

#include "server/track/lifecycle.hpp"

namespace fixwright::track {

/// Retires, with the event `moved`, each still emitter in whose stead the one just heard speaks:
/// that was born after the other fell silent, and the other has not been heard for
/// rules.relocate_s, for twice its longest pause and for eight of its usual ones, by chance one
/// time in three thousand. Whether it is the same transmitter the bearings don't say.
/// The records are left for merge_duplicates() to remove.
void retire_moved(ChannelTracks& tracks, std::size_t heard, TimePoint at, const TrackRules& rules,
                  Changes& changes);

}  // namespace fixwright::track
