#include "server/locate/emitters.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <numeric>

#include "server/locate/crossings.hpp"
#include "server/locate/modes.hpp"

namespace fixwright::locate {

namespace {

using geodesy::SurfacePoint;

constexpr std::size_t kMaxStarts = 64;  // refined, of the crossings that look best
constexpr std::size_t kMaxFirst = 4;    // tried as the first emitter of a set
constexpr double kGate = 3.5;           // sigmas within which a ray may be an emitter's
constexpr int kLeastPlaces = 3;
// What a transmission of nothing but clutter may cost: work grows with the cube of the rays.
constexpr std::size_t kMaxRaysOfPlace = 6;
constexpr std::size_t kMaxRays = 60;

/// The rays and what they weigh, worked out once.
struct Field {
  std::vector<Sight> sights;       // one a ray, in the order of the rays
  std::vector<std::size_t> place;  // of each ray
  std::vector<double> gain_nats;   // of owning a ray with residual 0, against clutter
  std::size_t places = 0;
  double miss_nats = 0.0;  // of a place without a ray, < 0
  double area_m2 = 0.0;
  double range_limit_m = 0.0;
};

struct Candidate {
  SurfacePoint point;
  std::vector<int> ray_of_place;
  double evidence_nats = -1e9;
};

Field make_field(std::span<const Ray> rays, const LocateRules& rules) {
  Field field;
  std::vector<PooledBearing> pooled;
  for (const Ray& ray : rays) {
    pooled.push_back(ray.pooled);
    pooled.back().alternatives.clear();  // a ray's place in the sky is settled here
    field.place.push_back(ray.place);
    field.places = std::max(field.places, ray.place + 1);
  }
  field.sights.resize(rays.size());
  for (Sight& sight : make_sights(pooled, rules)) {
    field.sights[sight.input] = sight;
  }
  for (const Sight& sight : field.sights) {
    field.gain_nats.push_back(std::log(rules.detection_share / rules.clutter_rays) +
                              std::log(std::sqrt(2.0 * std::numbers::pi) / sight.sigma_rad));
  }
  field.miss_nats = std::log1p(-rules.detection_share);
  field.area_m2 = std::numbers::pi * rules.expected_radius_m * rules.expected_radius_m;
  field.range_limit_m = rules.max_range_m;
  return field;
}

/// For each place the free ray nearest the point in sigmas, within the gate.
void claim(const Field& field, const SurfacePoint& point, const EnCovariance& spread,
           const std::vector<bool>& taken, std::vector<int>& ray_of_place) {
  ray_of_place.assign(field.places, kNoRay);
  std::vector<double> best(field.places, kGate * kGate);
  for (std::size_t i = 0; i < field.sights.size(); ++i) {
    if (taken[i]) {
      continue;
    }
    const geodesy::AzimuthView v = geodesy::fast_azimuth(field.sights[i].frame, point);
    const double e = v.per_east_rad_per_m;
    const double n = v.per_north_rad_per_m;
    const double variance = field.sights[i].sigma_rad * field.sights[i].sigma_rad +
                            e * e * spread.ee_m2 + 2.0 * e * n * spread.en_m2 +
                            n * n * spread.nn_m2;
    const double r = wrap_pi(field.sights[i].hypotheses[0].azimuth_rad - v.azimuth_rad);
    const double cost = r * r / variance;
    if (cost < best[field.place[i]] && std::abs(r) < 1.5) {
      best[field.place[i]] = cost;
      ray_of_place[field.place[i]] = static_cast<int>(i);
    }
  }
}

double evidence(const Field& field, const Candidate& c, const Estimate& estimate) {
  double sum = -0.5 * estimate.chi_square;
  for (const int ray : c.ray_of_place) {
    sum += ray == kNoRay ? field.miss_nats : field.gain_nats[static_cast<std::size_t>(ray)];
  }
  const double volume_m2 = 2.0 * std::numbers::pi / std::sqrt(estimate.information.determinant());
  return sum + std::log(std::min(volume_m2 / field.area_m2, 1.0));
}

/// Claims rays and solves in turn; evidence stays at its floor with fewer than three places.
Candidate settle(const Field& field, const SurfacePoint& start, const EnCovariance& spread,
                 const std::vector<bool>& taken, std::vector<Line>& lines) {
  constexpr int kMaxRounds = 5;
  Candidate c;
  c.point = start;
  claim(field, start, spread, taken, c.ray_of_place);
  std::vector<int> before;
  for (int round = 0; round < kMaxRounds && c.ray_of_place != before; ++round) {
    before = c.ray_of_place;
    lines.clear();
    for (const int ray : c.ray_of_place) {
      if (ray != kNoRay) {
        const Sight& s = field.sights[static_cast<std::size_t>(ray)];
        lines.push_back({&s.frame, s.station, s.hypotheses[0].azimuth_rad, 1.0 / s.sigma_rad});
      }
    }
    c.evidence_nats = -1e9;
    if (lines.size() < kLeastPlaces) {
      return c;
    }
    const Estimate e = refine(lines, c.point, field.range_limit_m);
    if (!(e.information.determinant() > 0.0) || e.farthest_m > field.range_limit_m) {
      return c;
    }
    c.point = e.point;
    c.evidence_nats = evidence(field, c, e);
    claim(field, c.point, {}, taken, c.ray_of_place);
  }
  c.ray_of_place = before;
  return c;
}

bool same_rays(const Candidate& a, const Candidate& b) { return a.ray_of_place == b.ray_of_place; }

EnCovariance pair_covariance(const Field& field, const Crossing& crossing,
                             const SurfacePoint& point) {
  Information h;
  for (const std::size_t i : {std::size_t{crossing.first}, std::size_t{crossing.second}}) {
    const geodesy::AzimuthView v = geodesy::fast_azimuth(field.sights[i].frame, point);
    const double w = 1.0 / (field.sights[i].sigma_rad * field.sights[i].sigma_rad);
    h.ee += w * v.per_east_rad_per_m * v.per_east_rad_per_m;
    h.en += w * v.per_east_rad_per_m * v.per_north_rad_per_m;
    h.nn += w * v.per_north_rad_per_m * v.per_north_rad_per_m;
  }
  return h.determinant() > 0.0 ? covariance_of(h) : EnCovariance{};
}

/// Rays within the gate of a crossing, counting its own uncertainty: more make a better start.
struct Start {
  SurfacePoint point;
  EnCovariance spread;
  std::vector<int> rays;
  double promise_nats = 0.0;
};

/// Keeps the most promising of those that claim the same rays.
void keep_distinct(std::vector<Start>& starts) {
  std::stable_sort(starts.begin(), starts.end(),
                   [](const Start& a, const Start& b) { return a.promise_nats > b.promise_nats; });
  std::vector<Start> kept;
  for (Start& start : starts) {
    if (kept.size() < kMaxStarts && std::none_of(kept.begin(), kept.end(), [&](const Start& other) {
          return other.rays == start.rays;
        })) {
      kept.push_back(std::move(start));
    }
  }
  starts = std::move(kept);
}

std::vector<Start> rank_starts(const Field& field, const std::vector<bool>& none_taken) {
  std::vector<Crossing> crossings;
  find_crossings(field.sights, field.range_limit_m, crossings);
  std::vector<Start> starts;
  for (const Crossing& crossing : crossings) {
    if (field.place[crossing.first] == field.place[crossing.second]) {
      continue;
    }
    Start start{geodesy::surface_point_of_normal(crossing.up), {}, {}, 0.0};
    start.spread = pair_covariance(field, crossing, start.point);
    claim(field, start.point, start.spread, none_taken, start.rays);
    int owned = 0;
    for (const int ray : start.rays) {
      start.promise_nats += ray == kNoRay ? 0.0 : field.gain_nats[static_cast<std::size_t>(ray)];
      owned += ray == kNoRay ? 0 : 1;
    }
    if (owned >= kLeastPlaces) {
      // Of crossings with the same rays the sharper is the better start.
      start.promise_nats += 1e-3 * std::log(crossing.determinant);
      starts.push_back(std::move(start));
    }
  }
  keep_distinct(starts);
  return starts;
}

std::vector<Candidate> find_candidates(const Field& field, std::vector<Line>& lines) {
  const std::vector<bool> none_taken(field.sights.size(), false);
  std::vector<Candidate> candidates;
  for (const Start& start : rank_starts(field, none_taken)) {
    Candidate c = settle(field, start.point, start.spread, none_taken, lines);
    if (c.evidence_nats > 0.0 &&
        std::none_of(candidates.begin(), candidates.end(),
                     [&](const Candidate& other) { return same_rays(other, c); })) {
      candidates.push_back(std::move(c));
    }
  }
  std::stable_sort(
      candidates.begin(), candidates.end(),
      [](const Candidate& a, const Candidate& b) { return a.evidence_nats > b.evidence_nats; });
  return candidates;
}

void take(const Candidate& c, std::vector<bool>& taken) {
  for (const int ray : c.ray_of_place) {
    if (ray != kNoRay) {
      taken[static_cast<std::size_t>(ray)] = true;
    }
  }
}

/// `first`, then the best of what its rays leave, and so on.
std::vector<Candidate> grow_set(const Field& field, const std::vector<Candidate>& candidates,
                                const Candidate& first, int most, std::vector<Line>& lines) {
  std::vector<Candidate> set{first};
  std::vector<bool> taken(field.sights.size(), false);
  take(first, taken);
  while (static_cast<int>(set.size()) < most) {
    Candidate best;
    for (const Candidate& c : candidates) {
      if (c.evidence_nats <= std::max(best.evidence_nats, 0.0)) {
        break;  // sorted, and what is taken only lessens
      }
      Candidate again = settle(field, c.point, {}, taken, lines);
      if (again.evidence_nats > best.evidence_nats) {
        best = std::move(again);
      }
    }
    if (best.evidence_nats <= 0.0) {
      break;
    }
    take(best, taken);
    set.push_back(std::move(best));
  }
  return set;
}

double total(const std::vector<Candidate>& set) {
  double sum = 0.0;
  for (const Candidate& c : set) {
    sum += c.evidence_nats;
  }
  return sum;
}

/// The rays of most bearings, no more than a search can afford; indices, rising.
std::vector<std::size_t> heaviest(std::span<const Ray> rays) {
  std::vector<std::size_t> order(rays.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](auto a, auto b) { return rays[a].pooled.count > rays[b].pooled.count; });
  std::map<std::size_t, std::size_t> of_place;
  std::vector<std::size_t> kept;
  for (const std::size_t i : order) {
    if (kept.size() < kMaxRays && of_place[rays[i].place]++ < kMaxRaysOfPlace) {
      kept.push_back(i);
    }
  }
  std::sort(kept.begin(), kept.end());
  return kept;
}

std::vector<RayOwner> search(std::span<const Ray> rays, const LocateRules& rules) {
  const Field field = make_field(rays, rules);
  std::vector<Line> lines;
  lines.reserve(field.places);
  const std::vector<Candidate> candidates = find_candidates(field, lines);
  std::vector<Candidate> best;
  for (std::size_t i = 0; i < std::min(candidates.size(), kMaxFirst); ++i) {
    auto set = grow_set(field, candidates, candidates[i], rules.max_emitters, lines);
    if (total(set) > total(best)) {
      best = std::move(set);
    }
  }
  std::stable_sort(best.begin(), best.end(), [](const Candidate& a, const Candidate& b) {
    return a.evidence_nats > b.evidence_nats;
  });
  std::vector<RayOwner> owners;
  for (Candidate& c : best) {
    owners.push_back({std::move(c.ray_of_place), c.evidence_nats});
  }
  return owners;
}

}  // namespace

std::vector<RayOwner> find_emitters(std::span<const Ray> rays, const LocateRules& rules) {
  const std::vector<std::size_t> kept = heaviest(rays);
  std::vector<Ray> few;
  few.reserve(kept.size());
  for (const std::size_t i : kept) {
    few.push_back({rays[i].pooled, {}, rays[i].place});
  }
  std::vector<RayOwner> owners = search(few, rules);
  for (RayOwner& owner : owners) {
    for (int& ray : owner.ray_of_place) {
      ray = ray == kNoRay ? kNoRay : static_cast<int>(kept[static_cast<std::size_t>(ray)]);
    }
  }
  return owners;
}

}  // namespace fixwright::locate
