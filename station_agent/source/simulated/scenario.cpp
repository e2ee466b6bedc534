#include "station_agent/source/simulated/scenario.hpp"

#include <algorithm>

namespace fixwright::agent {

const SimulatedStation* Scenario::station(std::string_view name) const {
  const auto found = std::find_if(stations.begin(), stations.end(),
                                  [name](const SimulatedStation& s) { return s.name == name; });
  return found == stations.end() ? nullptr : &*found;
}

Duration Scenario::longest_integration() const {
  Duration longest{0};
  for (const SimulatedEmitter& e : emitters) longest = std::max(longest, e.integration);
  return longest;
}

bool is_on(const Schedule& schedule, Duration from, Duration to) {
  if (schedule.period == Duration{0}) return true;
  Duration into = (from - schedule.offset) % schedule.period;
  if (into < Duration{0}) into += schedule.period;
  return into + (to - from) <= schedule.on;
}

}  // namespace fixwright::agent
