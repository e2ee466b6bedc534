#pragma once
/// Every emitter that one transmission carries.

#include <span>
#include <vector>

#include "server/locate/cross_fix.hpp"
#include "server/locate/pool.hpp"

namespace fixwright::locate {

struct GroupFix {
  CrossFix fix;
  std::vector<PooledBearing> pooled;  // what the fix was made of; fix.verdicts has the same order
  /// For each input bearing: its index in `pooled`, or -1 when it belongs to another emitter or
  /// was set aside before the fix.
  std::vector<int> pooled_of;
};

/// One entry an emitter found, the best supported first; or exactly one entry with the refusal.
/// Never empty. A pure function of the set of bearings.
///
/// Bearings of a station that disagree by more than their errors allow are held to come from
/// different emitters or reflections: each station's bearings fall into rays, an emitter owns at
/// most one ray a station, and the number of emitters is the most probable one. Where several
/// emitters are found each has three stations or more.
std::vector<GroupFix> locate_transmission(std::span<const Bearing> bearings,
                                          const Stations& stations, const LocateRules& rules = {});

}  // namespace fixwright::locate
