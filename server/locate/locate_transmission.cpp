#include "server/locate/locate_transmission.hpp"

#include <algorithm>

namespace fixwright::locate {

namespace {

int index_of(const std::vector<PooledBearing>& pooled, const Bearing& b) {
  const auto found = std::find_if(pooled.begin(), pooled.end(), [&](const PooledBearing& p) {
    return p.station == b.key.station && p.station_position == b.station_position;
  });
  return found == pooled.end() ? -1 : static_cast<int>(found - pooled.begin());
}

}  // namespace

std::vector<GroupFix> locate_transmission(std::span<const Bearing> bearings,
                                          const Stations& stations, const LocateRules& rules) {
  GroupFix group;
  group.pooled = pool(bearings, stations, rules);
  group.fix = cross_fix(group.pooled, rules);
  for (const Bearing& b : bearings) {
    group.pooled_of.push_back(index_of(group.pooled, b));
  }
  return {group};
}

}  // namespace fixwright::locate
