#include "server/locate/rays.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "server/base/angle.hpp"

namespace fixwright::locate {

namespace {

/// Bearings of one place in the order of their azimuths.
struct Sorted {
  std::vector<std::size_t> bearings;
  std::vector<double> azimuth_deg;
  double width_deg = 0.0;  // of the smoothing
};

Sorted sort_azimuths(std::span<const Bearing> bearings, std::vector<std::size_t> of_place) {
  const auto key = [&](std::size_t i) {
    const Bearing& b = bearings[i];
    return std::tuple{b.azimuth_deg, b.sigma_deg, b.start, b.key};
  };
  std::sort(of_place.begin(), of_place.end(), [&](auto a, auto b) { return key(a) < key(b); });
  Sorted sorted{std::move(of_place), {}, 0.0};
  double squares = 0.0;
  for (const std::size_t i : sorted.bearings) {
    sorted.azimuth_deg.push_back(bearings[i].azimuth_deg);
    squares += bearings[i].sigma_deg * bearings[i].sigma_deg;
  }
  sorted.width_deg = 2.0 * std::sqrt(squares / static_cast<double>(sorted.bearings.size()));
  return sorted;
}

/// Turns the circle so that its widest empty arc lies at the ends: no ray is cut by north.
void open_at_widest_gap(Sorted& sorted) {
  const std::size_t n = sorted.bearings.size();
  double widest = 360.0 - sorted.azimuth_deg.back() + sorted.azimuth_deg.front();
  std::size_t first = 0;
  for (std::size_t i = 1; i < n; ++i) {
    const double gap = sorted.azimuth_deg[i] - sorted.azimuth_deg[i - 1];
    if (gap > widest) {
      widest = gap;
      first = i;
    }
  }
  const auto shift = static_cast<std::ptrdiff_t>(first);
  std::rotate(sorted.bearings.begin(), sorted.bearings.begin() + shift, sorted.bearings.end());
  std::rotate(sorted.azimuth_deg.begin(), sorted.azimuth_deg.begin() + shift,
              sorted.azimuth_deg.end());
  for (std::size_t i = n - first; i < n; ++i) {
    sorted.azimuth_deg[i] += 360.0;
  }
}

/// Many azimuths within a small part of the width are one heavy one: the density hardly changes
/// and the work no longer grows with the square of the bearings.
struct Grain {
  double azimuth_deg = 0.0;
  double weight = 0.0;
  std::size_t first = 0;  // index of its first bearing in Sorted
};

std::vector<Grain> grains_of(const Sorted& sorted) {
  constexpr double kGrain = 0.1;
  std::vector<Grain> grains;
  double start_deg = 0.0;
  for (std::size_t i = 0; i < sorted.azimuth_deg.size(); ++i) {
    const double azimuth = sorted.azimuth_deg[i];
    if (grains.empty() || azimuth - start_deg > kGrain * sorted.width_deg) {
      grains.push_back({azimuth, 1.0, i});
      start_deg = azimuth;
    } else {
      Grain& g = grains.back();
      g.weight += 1.0;
      g.azimuth_deg += (azimuth - g.azimuth_deg) / g.weight;
    }
  }
  return grains;
}

double density(const std::vector<Grain>& grains, std::size_t near, double azimuth_deg,
               double width_deg) {
  constexpr double kReach = 4.0;  // widths past which a grain adds nothing
  const auto part = [&](std::size_t j) {
    const double d = (grains[j].azimuth_deg - azimuth_deg) / width_deg;
    return std::abs(d) > kReach ? 0.0 : grains[j].weight * std::exp(-0.5 * d * d);
  };
  double sum = 0.0;
  for (std::size_t j = near; j < grains.size() && part(j) > 0.0; ++j) {
    sum += part(j);
  }
  for (std::size_t j = near; j-- > 0 && part(j) > 0.0;) {
    sum += part(j);
  }
  return sum;
}

/// First bearing of each ray, in the order of Sorted.
std::vector<std::size_t> find_valleys(const Sorted& sorted) {
  const std::vector<Grain> grains = grains_of(sorted);
  std::vector<double> profile;  // at each grain, and half way to the next
  for (std::size_t i = 0; i < grains.size(); ++i) {
    profile.push_back(density(grains, i, grains[i].azimuth_deg, sorted.width_deg));
    if (i + 1 < grains.size()) {
      const double half = 0.5 * (grains[i].azimuth_deg + grains[i + 1].azimuth_deg);
      profile.push_back(std::max(density(grains, i, half, sorted.width_deg),
                                 density(grains, i + 1, half, sorted.width_deg)));
    }
  }
  std::vector<std::size_t> starts{0};
  bool falling = false;
  for (std::size_t k = 1; k < profile.size(); ++k) {
    if (profile[k] > profile[k - 1] && falling) {
      const std::size_t grain = (k + 1) / 2;  // the first right of the valley
      starts.push_back(grains[std::min(grain, grains.size() - 1)].first);
    }
    falling = profile[k] < profile[k - 1] || (falling && profile[k] == profile[k - 1]);
  }
  starts.erase(std::unique(starts.begin(), starts.end()), starts.end());
  return starts;
}

/// How many bearings of one instant a ray holds at most. One emitter gives one; more are as many
/// emitters close together.
std::size_t most_at_once(std::span<const Bearing> bearings, std::vector<std::size_t> members) {
  std::sort(members.begin(), members.end(),
            [&](auto a, auto b) { return bearings[a].start < bearings[b].start; });
  std::size_t most = 0;
  std::size_t run = 0;
  for (std::size_t i = 0; i < members.size(); ++i) {
    run = i > 0 && bearings[members[i]].start == bearings[members[i - 1]].start ? run + 1 : 1;
    most = std::max(most, run);
  }
  return most;
}

/// Parts a ray that holds `parts` bearings of one instant: of each such instant the least azimuth
/// goes to the first part, and so on; the others go where the mean is nearest.
/// \param members  in the order of azimuths, as turned by open_at_widest_gap().
std::vector<std::vector<std::size_t>> part_by_instants(std::span<const Bearing> bearings,
                                                       const std::vector<std::size_t>& members,
                                                       const std::vector<double>& azimuth_deg,
                                                       std::size_t parts) {
  std::map<TimePoint, std::vector<std::size_t>> instants;  // positions in members
  for (std::size_t i = 0; i < members.size(); ++i) {
    instants[bearings[members[i]].start].push_back(i);
  }
  std::vector<double> sum_deg(parts, 0.0);
  std::vector<double> count(parts, 0.0);
  std::vector<std::vector<std::size_t>> parted(parts);
  for (const auto& [at, positions] : instants) {
    for (std::size_t j = 0; positions.size() == parts && j < parts; ++j) {
      sum_deg[j] += azimuth_deg[positions[j]];
      count[j] += 1.0;
      parted[j].push_back(members[positions[j]]);
    }
  }
  for (const auto& [at, positions] : instants) {
    for (std::size_t k = 0; positions.size() != parts && k < positions.size(); ++k) {
      std::size_t nearest = 0;
      for (std::size_t j = 1; j < parts; ++j) {
        const double a = azimuth_deg[positions[k]];
        const auto off = [&](std::size_t part) {
          return std::abs(sum_deg[part] / count[part] - a);
        };
        nearest = off(j) < off(nearest) ? j : nearest;
      }
      parted[nearest].push_back(members[positions[k]]);
    }
  }
  return parted;
}

bool whole_seconds(std::span<const Bearing> bearings) {
  return std::all_of(bearings.begin(), bearings.end(), [](const Bearing& b) {
    return b.start == std::chrono::floor<std::chrono::seconds>(b.start);
  });
}

/// Do the parts of a ray lie far enough apart to be different emitters'? \pre parts not empty.
bool stand_apart(std::span<const Bearing> bearings,
                 const std::vector<std::vector<std::size_t>>& parts, double least_deg) {
  const auto mean_from = [&](const std::vector<std::size_t>& part, double origin_deg) {
    double sum = 0.0;
    for (const std::size_t i : part) {
      sum += wrap_180(bearings[i].azimuth_deg - origin_deg);
    }
    return sum / static_cast<double>(part.size());
  };
  for (std::size_t j = 1; j < parts.size(); ++j) {
    const double origin_deg = bearings[parts[j].front()].azimuth_deg;
    const double apart = mean_from(parts[j], origin_deg) - mean_from(parts[j - 1], origin_deg);
    if (apart < least_deg) {
      return false;
    }
  }
  return true;
}

Ray make_ray(std::span<const Bearing> bearings, std::vector<std::size_t> members, std::size_t place,
             const Stations& stations, const LocateRules& rules) {
  std::sort(members.begin(), members.end());
  std::vector<Bearing> own;
  own.reserve(members.size());
  for (const std::size_t i : members) {
    own.push_back(bearings[i]);
  }
  return {pool(own, stations, rules).front(), std::move(members), place};
}

}  // namespace

std::vector<Ray> find_rays(std::span<const Bearing> bearings, const Stations& stations,
                           const LocateRules& rules) {
  std::map<std::tuple<StationId, double, double>, std::vector<std::size_t>> places;
  for (std::size_t i = 0; i < bearings.size(); ++i) {
    const Bearing& b = bearings[i];
    places[{b.key.station, b.station_position.latitude_deg, b.station_position.longitude_deg}]
        .push_back(i);
  }
  const double apart_sigmas = whole_seconds(bearings) ? 2.5 : 0.5;
  std::vector<Ray> rays;
  std::size_t place = 0;
  for (auto& [key, of_place] : places) {
    Sorted sorted = sort_azimuths(bearings, std::move(of_place));
    open_at_widest_gap(sorted);
    std::vector<std::size_t> starts = find_valleys(sorted);
    starts.push_back(sorted.bearings.size());
    for (std::size_t s = 0; s + 1 < starts.size(); ++s) {
      const auto from = sorted.bearings.begin() + static_cast<std::ptrdiff_t>(starts[s]);
      const auto to = sorted.bearings.begin() + static_cast<std::ptrdiff_t>(starts[s + 1]);
      const std::vector<std::size_t> members{from, to};
      const auto first = sorted.azimuth_deg.begin() + static_cast<std::ptrdiff_t>(starts[s]);
      const std::vector<double> azimuths{first, first + (to - from)};
      const std::size_t parts = most_at_once(bearings, members);
      auto parted = part_by_instants(bearings, members, azimuths, parts);
      if (!stand_apart(bearings, parted, apart_sigmas * 0.5 * sorted.width_deg)) {
        parted = {members};
      }
      for (auto& part : parted) {
        rays.push_back(make_ray(bearings, std::move(part), place, stations, rules));
      }
    }
    ++place;
  }
  std::vector<PooledBearing*> pooled;
  for (Ray& ray : rays) pooled.push_back(&ray.pooled);
  share_moving_sites(pooled, stations, rules);
  return rays;
}

}  // namespace fixwright::locate
