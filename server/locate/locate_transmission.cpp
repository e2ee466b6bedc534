#include "server/locate/locate_transmission.hpp"

#include <algorithm>

#include "server/geodesy/local_frame.hpp"
#include "server/locate/emitters.hpp"
#include "server/locate/rays.hpp"

namespace fixwright::locate {

namespace {

std::size_t place_count(const std::vector<Ray>& rays) {
  return rays.empty() ? 0 : rays.back().place + 1;
}

/// The ray of most bearings of each place; the others become its alternatives, weighed by theirs.
std::vector<PooledBearing> main_rays(const std::vector<Ray>& rays, std::vector<int>& place_of) {
  std::vector<PooledBearing> pooled(place_count(rays));
  for (const Ray& ray : rays) {
    PooledBearing& main = pooled[ray.place];
    if (main.station == 0 || ray.pooled.count > main.count) {
      main = ray.pooled;
    }
  }
  for (const Ray& ray : rays) {
    PooledBearing& main = pooled[ray.place];
    for (const std::size_t i : ray.bearings) {
      place_of[i] = static_cast<int>(ray.place);
    }
    if (ray.pooled.azimuth_deg != main.azimuth_deg) {
      const double weight = static_cast<double>(ray.pooled.count) / main.count;
      main.alternatives.push_back({ray.pooled.azimuth_deg, std::min(weight, 1.0)});
    }
  }
  for (PooledBearing& main : pooled) {  // cross_fix() looks at the first few
    std::stable_sort(main.alternatives.begin(), main.alternatives.end(),
                     [](const auto& a, const auto& b) { return a.weight > b.weight; });
  }
  return pooled;
}

/// Bearings that point where the believed azimuth of their place does not are no part of the fix.
void drop_other_rays(const std::vector<Ray>& rays, GroupFix& group) {
  for (const Ray& ray : rays) {
    const PooledVerdict& verdict = group.fix.verdicts[ray.place];
    const PooledBearing& pooled = group.pooled[ray.place];
    const auto alternative = static_cast<std::size_t>(std::max(verdict.alternative, 0));
    const double believed_deg =
        verdict.alternative < 0 ? pooled.azimuth_deg : pooled.alternatives[alternative].azimuth_deg;
    if (ray.pooled.azimuth_deg != believed_deg) {
      for (const std::size_t i : ray.bearings) {
        group.pooled_of[i] = -1;
      }
    }
  }
}

GroupFix locate_one(const std::vector<Ray>& rays, std::size_t bearings, const LocateRules& rules) {
  GroupFix group;
  group.pooled_of.assign(bearings, -1);
  group.pooled = main_rays(rays, group.pooled_of);
  group.fix = cross_fix(group.pooled, rules);
  drop_other_rays(rays, group);
  return group;
}

GroupFix locate_owner(const std::vector<Ray>& rays, const RayOwner& owner, std::size_t bearings,
                      const LocateRules& rules) {
  GroupFix group;
  group.pooled_of.assign(bearings, -1);
  for (const int ray : owner.ray_of_place) {
    if (ray == kNoRay) {
      continue;
    }
    const Ray& owned = rays[static_cast<std::size_t>(ray)];
    for (const std::size_t i : owned.bearings) {
      group.pooled_of[i] = static_cast<int>(group.pooled.size());
    }
    group.pooled.push_back(owned.pooled);
  }
  group.fix = cross_fix(group.pooled, rules);
  return group;
}

/// May there be more than one emitter, or a ray too many? Not when every place shows one direction
/// and one emitter explains all but at most two of them.
bool worth_a_search(const std::vector<Ray>& rays, const GroupFix& one) {
  constexpr int kOfAnotherEmitter = 3;
  const auto set_aside = std::count_if(one.fix.verdicts.begin(), one.fix.verdicts.end(),
                                       [](const PooledVerdict& v) { return !v.used; });
  return place_count(rays) >= 3 &&
         (rays.size() > place_count(rays) || set_aside >= kOfAnotherEmitter);
}

/// Do two fixes lie so close together that they may be one place?
bool same_place(const CrossFix& a, const CrossFix& b) {
  constexpr double kTogether = 9.21;  // chi-square, 2 degrees of freedom, 99 %
  const EnCovariance sum{a.covariance.ee_m2 + b.covariance.ee_m2,
                         a.covariance.en_m2 + b.covariance.en_m2,
                         a.covariance.nn_m2 + b.covariance.nn_m2};
  return geodesy::mahalanobis_squared(sum, geodesy::offset(a.position, b.position)) < kTogether;
}

/// The fixes of the emitters found, each at a place of its own.
std::vector<GroupFix> locate_owners(const std::vector<Ray>& rays, std::size_t bearings,
                                    const LocateRules& rules) {
  std::vector<GroupFix> groups;
  for (const RayOwner& owner : find_emitters(rays, rules)) {
    GroupFix group = locate_owner(rays, owner, bearings, rules);
    const bool own_place =
        group.fix.accepted() && std::none_of(groups.begin(), groups.end(), [&](const GroupFix& g) {
          return same_place(g.fix, group.fix);
        });
    if (own_place) {
      groups.push_back(std::move(group));
    }
  }
  return groups;
}

}  // namespace

std::vector<GroupFix> locate_transmission(std::span<const Bearing> bearings,
                                          const Stations& stations, const LocateRules& rules) {
  const std::vector<Ray> rays = find_rays(bearings, stations, rules);
  GroupFix one = locate_one(rays, bearings.size(), rules);
  if (!worth_a_search(rays, one)) {
    return {std::move(one)};
  }
  std::vector<GroupFix> groups = locate_owners(rays, bearings.size(), rules);
  // A single emitter is judged with all that contradicts it.
  if (groups.empty() || (groups.size() == 1 && one.fix.accepted())) {
    return {std::move(one)};
  }
  return groups;
}

}  // namespace fixwright::locate
