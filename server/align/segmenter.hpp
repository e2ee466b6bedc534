#pragma once
/// Cuts the bearings of a channel into transmissions.
///
/// A pause longer than the gap ends a transmission; one that would grow longer than the limit is
/// cut, and the next begins at the next bearing. The cuts depend on the bearings alone: whoever
/// has the same set gets the same transmissions, in whatever order the bearings arrived.

#include <vector>

#include "server/align/rules.hpp"
#include "server/model/bearing.hpp"

namespace fixwright::align {

/// One stretch: bearings [first, last) of the list that was cut.
struct Segment {
  std::size_t first = 0;
  std::size_t last = 0;
  TimePoint start;      // of its first bearing
  TimePoint end;        // the latest end of its bearings
  TimePoint closes_at;  // a bearing that starts at or past this can't join any more
};

/// \param bearings  of one channel, in EventOrder.
/// \return the stretches, in order; together they hold every bearing once.
std::vector<Segment> cut_into_segments(const std::vector<Bearing>& bearings,
                                       const AlignRules& rules);

}  // namespace fixwright::align
