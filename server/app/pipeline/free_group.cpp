#include "server/app/pipeline/free_group.hpp"

#include <algorithm>
#include <set>

#include "server/base/angle.hpp"
#include "server/locate/locate_transmission.hpp"

namespace fixwright::app {

namespace {

std::vector<Bearing> selected(const Transmission& t, const Indices& among) {
  std::vector<Bearing> bearings;
  bearings.reserve(among.size());
  for (const std::size_t i : among) bearings.push_back(t.bearings[i]);
  return bearings;
}

/// The bearing's azimuth that is nearest to the one the fix believed.
double nearest_azimuth(const Bearing& b, double believed_deg, double bias_deg) {
  double best = b.azimuth_deg;
  const auto miss = [&](double azimuth_deg) {
    return std::abs(wrap_180(azimuth_deg - bias_deg - believed_deg));
  };
  for (const auto& other : b.alternatives) {
    if (miss(other.azimuth_deg) < miss(best)) best = other.azimuth_deg;
  }
  return best;
}

Part part_of(std::size_t index, const Bearing& b, const PooledBearing& pooled,
             const PooledVerdict& verdict, double bias_deg) {
  const double observed =
      verdict.alternative < 0
          ? pooled.azimuth_deg
          : pooled.alternatives.at(static_cast<std::size_t>(verdict.alternative)).azimuth_deg;
  const double computed = observed - verdict.residual_deg;
  const double azimuth =
      verdict.alternative < 0 ? b.azimuth_deg : nearest_azimuth(b, computed, bias_deg);
  return {index, azimuth, wrap_180(azimuth - bias_deg - computed), verdict.used};
}

FreeGroup group_from(const locate::GroupFix& found, bool only, const Transmission& t,
                     const Indices& among, const FoldContext& context) {
  FreeGroup group{found.fix, {}, 0};
  for (std::size_t i = 0; i < among.size(); ++i) {
    const Bearing& b = t.bearings[among[i]];
    const int p = found.pooled_of[i];
    if (p >= 0) {
      const auto at = static_cast<std::size_t>(p);
      group.parts.push_back(part_of(among[i], b, found.pooled[at], found.fix.verdicts[at],
                                    context.sites.bias_deg(b)));
    } else if (only) {
      group.parts.push_back({among[i], b.azimuth_deg, 0.0, false});
    }
  }
  group.stations = stations_of(group.parts, t);
  return group;
}

}  // namespace

bool FreeGroup::uses_any(const Indices& some) const {
  return std::any_of(parts.begin(), parts.end(), [&](const Part& p) {
    return p.used && std::binary_search(some.begin(), some.end(), p.index);
  });
}

Indices FreeGroup::used() const {
  Indices all;
  for (const Part& p : parts) {
    if (p.used) all.push_back(p.index);
  }
  return all;
}

std::vector<FreeGroup> search_groups(const Transmission& transmission, const Indices& among,
                                     const FoldContext& context) {
  if (among.empty()) return {};
  const auto bearings = selected(transmission, among);
  const auto found = locate::locate_transmission(bearings, context.stations, context.rules.locate);
  std::vector<FreeGroup> groups;
  for (const auto& group : found) {
    groups.push_back(group_from(group, found.size() == 1, transmission, among, context));
  }
  return groups;
}

std::vector<Part> parts_of(const CrossFix& fix, const std::vector<PooledBearing>& pooled,
                           const Transmission& transmission, const Indices& bearings,
                           const FoldContext& context) {
  std::vector<Part> parts;
  for (const std::size_t i : bearings) {
    const Bearing& b = transmission.bearings[i];
    const auto own = std::find_if(pooled.begin(), pooled.end(), [&](const PooledBearing& p) {
      return p.station == b.key.station && p.station_position == b.station_position;
    });
    const auto at = static_cast<std::size_t>(own - pooled.begin());
    if (at >= fix.verdicts.size()) {
      parts.push_back({i, b.azimuth_deg, 0.0, false});
      continue;
    }
    parts.push_back(part_of(i, b, *own, fix.verdicts[at], context.sites.bias_deg(b)));
  }
  return parts;
}

int stations_of(const std::vector<Part>& parts, const Transmission& transmission) {
  std::set<StationId> stations;
  for (const Part& p : parts) {
    if (p.used) stations.insert(transmission.bearings[p.index].key.station);
  }
  return static_cast<int>(stations.size());
}

}  // namespace fixwright::app
