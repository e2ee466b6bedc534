#include "server/locate/pool.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "server/base/angle.hpp"
#include "server/geodesy/neighbours.hpp"

namespace fixwright::locate {

namespace {

using PlaceKey = std::tuple<StationId, double, double>;

PlaceKey place_of(const Bearing& b) {
  return {b.key.station, b.station_position.latitude_deg, b.station_position.longitude_deg};
}

/// Weighted circular mean, summed in an order of its own.
struct CircularSum {
  double sine = 0.0;
  double cosine = 0.0;
  double weight = 0.0;

  void add(double azimuth_deg, double w) {
    sine += w * std::sin(azimuth_deg * kDegToRad);
    cosine += w * std::cos(azimuth_deg * kDegToRad);
    weight += w;
  }
  [[nodiscard]] double mean_deg() const { return wrap_360(std::atan2(sine, cosine) * kRadToDeg); }
};

double bias_of(const Station* station, const Bearing& b) {
  return station != nullptr ? station->bias_of(b) : 0.0;
}

/// Alternatives of all the bearings; those within two sigmas of one another are one.
std::vector<AlternativeAzimuth> pool_alternatives(const std::vector<const Bearing*>& bearings,
                                                  const Station* station) {
  std::vector<AlternativeAzimuth> pooled;
  for (const Bearing* b : bearings) {
    for (const AlternativeAzimuth& a : b->alternatives) {
      const double azimuth_deg = wrap_360(a.azimuth_deg - bias_of(station, *b));
      const double share = a.weight / static_cast<double>(bearings.size());
      const auto same = std::find_if(pooled.begin(), pooled.end(), [&](const auto& p) {
        return std::abs(wrap_180(p.azimuth_deg - azimuth_deg)) < 2.0 * b->sigma_deg;
      });
      if (same == pooled.end()) {
        pooled.push_back({azimuth_deg, share});
      } else {
        const double part = share / (same->weight + share);
        same->azimuth_deg =
            wrap_360(same->azimuth_deg + part * wrap_180(azimuth_deg - same->azimuth_deg));
        same->weight += share;
      }
    }
  }
  std::stable_sort(pooled.begin(), pooled.end(),
                   [](const auto& a, const auto& b) { return a.weight > b.weight; });
  return pooled;
}

/// Variance of the mean of one station's bearings, (deg)^2.
double pooled_variance(const std::vector<const Bearing*>& bearings, double weight,
                       const Station* station, const LocateRules& rules) {
  const double noise = 1.0 / weight;
  if (station != nullptr) {
    return station->site_sigma_deg * station->site_sigma_deg + noise;
  }
  // Nothing is known of the site: the stated sigma is taken as the whole error of one bearing, of
  // which as much as the default floor is the site's and does not average away.
  const double one = noise * static_cast<double>(bearings.size());
  const double site = std::min(rules.default_site_sigma_deg * rules.default_site_sigma_deg, one);
  return site + (one - site) / static_cast<double>(bearings.size());
}

/// Of a pooled variance, what is the site's.
double site_variance(StationId station, double variance, const Stations& stations,
                     const LocateRules& rules) {
  const auto known = stations.find(station);
  const double sigma =
      known != stations.end() ? known->second.site_sigma_deg : rules.default_site_sigma_deg;
  return std::min(sigma * sigma, variance);
}

PooledBearing pool_place(std::vector<const Bearing*> bearings, const Station* station,
                         const LocateRules& rules) {
  std::sort(bearings.begin(), bearings.end(),
            [](const Bearing* a, const Bearing* b) { return EventOrder{}(*a, *b); });
  CircularSum sum;
  for (const Bearing* b : bearings) {
    sum.add(b->azimuth_deg - bias_of(station, *b), 1.0 / (b->sigma_deg * b->sigma_deg));
  }
  PooledBearing pooled;
  pooled.station = bearings.front()->key.station;
  pooled.station_position = bearings.front()->station_position;
  pooled.station_moves = bearings.front()->station_moves;
  for (const Bearing* b : bearings) {
    pooled.station_sigma_m = std::max(pooled.station_sigma_m, b->station_sigma_m);
  }
  pooled.azimuth_deg = sum.mean_deg();
  pooled.sigma_deg = std::sqrt(pooled_variance(bearings, sum.weight, station, rules));
  pooled.count = static_cast<int>(bearings.size());
  pooled.alternatives = pool_alternatives(bearings, station);
  return pooled;
}

}  // namespace

std::vector<PooledBearing> pool(std::span<const Bearing> bearings, const Stations& stations,
                                const LocateRules& rules) {
  std::map<PlaceKey, std::vector<const Bearing*>> places;
  for (const Bearing& b : bearings) {
    places[place_of(b)].push_back(&b);
  }
  std::vector<PooledBearing> pooled;
  pooled.reserve(places.size());
  for (auto& [key, of_place] : places) {
    const auto known = stations.find(std::get<0>(key));
    pooled.push_back(
        pool_place(std::move(of_place), known != stations.end() ? &known->second : nullptr, rules));
  }
  std::vector<PooledBearing*> moving;
  for (PooledBearing& p : pooled) {
    if (p.station_moves) moving.push_back(&p);
  }
  share_moving_sites(moving, stations, rules);
  return pooled;
}

void share_moving_sites(std::span<PooledBearing* const> pooled, const Stations& stations,
                        const LocateRules& rules) {
  std::map<StationId, std::vector<PooledBearing*>> by_station;
  for (PooledBearing* p : pooled) {
    if (p->station_moves) by_station[p->station].push_back(p);
  }
  for (const auto& [station, own] : by_station) {
    std::vector<GeoPoint> places;
    for (const PooledBearing* p : own) places.push_back(p->station_position);
    const std::vector<int> sharing = geodesy::count_neighbours(places, kMovingSite_m);
    for (std::size_t i = 0; i < own.size(); ++i) {
      const double variance = own[i]->sigma_deg * own[i]->sigma_deg;
      const double more = site_variance(station, variance, stations, rules) * (sharing[i] - 1);
      own[i]->sigma_deg = std::sqrt(variance + more);
    }
  }
}

}  // namespace fixwright::locate
