#include "server/tools/log_fixes.hpp"

#include <algorithm>
#include <set>

#include "server/tools/emitter_book.hpp"

namespace fixwright::tools {

namespace {

using locate::GroupFix;

/// Bearings that no emitter of the transmission took; the first fix lists them as rejected.
std::vector<bool> taken_by_any(const std::vector<GroupFix>& groups, std::size_t bearings) {
  std::vector<bool> taken(bearings, false);
  for (const GroupFix& group : groups) {
    for (std::size_t i = 0; i < bearings; ++i) {
      taken[i] = taken[i] || group.pooled_of[i] >= 0;
    }
  }
  return taken;
}

void add_bearing(Fix& fix, const GroupFix& group, const Bearing& bearing, int pooled) {
  FixBearing part{bearing.key, 0.0, false};
  if (pooled >= 0) {
    const PooledVerdict& verdict = group.fix.verdicts[static_cast<std::size_t>(pooled)];
    part.residual_deg = verdict.residual_deg;
    part.used = fix.solution.accepted() && verdict.used;
  }
  fix.bearings.push_back(part);
}

int stations_of(const GroupFix& group) {
  std::set<StationId> stations;
  for (std::size_t i = 0; i < group.pooled.size(); ++i) {
    if (group.fix.verdicts[i].used || !group.fix.accepted()) {
      stations.insert(group.pooled[i].station);
    }
  }
  return static_cast<int>(stations.size());
}

/// Time and frequency of the bearings the fix lists.
void set_when(Fix& fix, const Transmission& transmission, const std::vector<bool>& listed) {
  TimePoint first = TimePoint::max();
  TimePoint last = TimePoint::min();
  double sum_hz = 0.0;
  int count = 0;
  for (std::size_t i = 0; i < transmission.bearings.size(); ++i) {
    if (listed[i]) {
      first = std::min(first, transmission.bearings[i].middle());
      last = std::max(last, transmission.bearings[i].middle());
      sum_hz += transmission.bearings[i].frequency_hz;
      ++count;
    }
  }
  fix.valid_at = first + (last - first) / 2;
  fix.frequency_hz = sum_hz / count;
}

Fix fix_of(const GroupFix& group, const Transmission& transmission, const std::vector<bool>& extra,
           int ordinal) {
  Fix fix;
  fix.key = {transmission.key, ordinal};
  fix.state = ResultState::final;
  fix.solution = group.fix;
  fix.stations = stations_of(group);
  std::vector<bool> listed(transmission.bearings.size(), false);
  for (std::size_t i = 0; i < transmission.bearings.size(); ++i) {
    listed[i] = group.pooled_of[i] >= 0 || extra[i];
    if (listed[i]) {
      add_bearing(fix, group, transmission.bearings[i], group.pooled_of[i]);
    }
  }
  set_when(fix, transmission, listed);
  return fix;
}

}  // namespace

std::vector<LoggedFix> locate_log(const std::vector<Transmission>& transmissions,
                                  const locate::LocateRules& rules, double frequency_tolerance_hz) {
  EmitterBook book{frequency_tolerance_hz};
  std::vector<LoggedFix> logged;
  for (std::size_t t = 0; t < transmissions.size(); ++t) {
    const Transmission& transmission = transmissions[t];
    auto groups = locate::locate_transmission(transmission.bearings, {}, rules);
    std::vector<bool> untaken = taken_by_any(groups, transmission.bearings.size());
    untaken.flip();
    int ordinal = 0;
    for (GroupFix& group : groups) {
      Fix fix = fix_of(group, transmission, untaken, ordinal++);
      if (fix.solution.accepted()) {
        fix.emitter = book.enter(fix);
      }
      logged.push_back({std::move(fix), std::move(group), t});
      untaken.assign(untaken.size(), false);
    }
  }
  return logged;
}

}  // namespace fixwright::tools
