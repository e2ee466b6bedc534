#include "server/track/bearing_sums.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/neighbours.hpp"

namespace fixwright::track {

namespace {

/// A moving station takes each bearing from a new place; only so many are kept apart.
constexpr std::size_t kMaxPlaces = 64;

}  // namespace

void BearingSums::add(const Bearing& bearing, double azimuth_deg, const SiteErrors& sites,
                      double probability) {
  const double azimuth = wrap_360(azimuth_deg - sites.bias_deg(bearing));
  const double weight = probability / SiteErrors::stated_variance_deg2(bearing);
  add(Sum{bearing.key.station, bearing.station_position, azimuth, weight, 0.0, probability,
          bearing.station_sigma_m, bearing.station_moves});
}

void BearingSums::add(const BearingSums& other) {
  for (const Sum& sum : other.sums_) add(sum);
}

void BearingSums::add(const Sum& sum) {
  const auto same = std::find_if(sums_.begin(), sums_.end(), [&](const Sum& s) {
    return s.station == sum.station && s.place == sum.place;
  });
  if (same != sums_.end()) {
    const double turn = wrap_180(sum.reference_deg - same->reference_deg);
    same->weighted_offset += sum.weighted_offset + sum.weight * turn;
    same->weight += sum.weight;
    same->count += sum.count;
    same->place_sigma_m = std::max(same->place_sigma_m, sum.place_sigma_m);
    return;
  }
  if (sums_.size() >= kMaxPlaces) make_room();
  const auto after =
      std::upper_bound(sums_.begin(), sums_.end(), sum.station,
                       [](StationId station, const Sum& s) { return station < s.station; });
  sums_.insert(after, sum);
}

/// Drops the place that says least.
void BearingSums::make_room() {
  const auto least = std::min_element(
      sums_.begin(), sums_.end(), [](const Sum& a, const Sum& b) { return a.weight < b.weight; });
  sums_.erase(least);
}

/// How many of a moving station's places share their site's error; 1 for each of a fixed one.
std::vector<int> BearingSums::sharing_site() const {
  std::vector<int> sharing;
  for (auto first = sums_.begin(); first != sums_.end();) {
    const auto last =
        std::find_if(first, sums_.end(), [&](const Sum& s) { return s.station != first->station; });
    std::vector<GeoPoint> places;
    for (auto s = first; s != last; ++s) places.push_back(s->place);
    const auto counts = geodesy::count_neighbours(places, first->moves ? kMovingSite_m : 0.0);
    sharing.insert(sharing.end(), counts.begin(), counts.end());
    first = last;
  }
  return sharing;
}

std::vector<PooledBearing> BearingSums::pooled(const SiteErrors& sites) const {
  std::vector<PooledBearing> pooled;
  pooled.reserve(sums_.size());
  const std::vector<int> sharing = sharing_site();
  for (std::size_t i = 0; i < sums_.size(); ++i) {
    const Sum& s = sums_[i];
    PooledBearing p;
    p.station = s.station;
    p.station_position = s.place;
    p.azimuth_deg = wrap_360(s.reference_deg + s.weighted_offset / s.weight);
    const double variance = sites.pooled_variance_deg2(s.station, s.weight, s.count);
    const double of_site = std::max(variance - 1.0 / s.weight, 0.0);
    p.sigma_deg = std::sqrt(variance + of_site * (sharing[i] - 1));
    p.station_sigma_m = s.place_sigma_m;
    p.station_moves = s.moves;
    p.count = static_cast<int>(std::lround(std::clamp(s.count, 1.0, 1e9)));
    pooled.push_back(std::move(p));
  }
  return pooled;
}

std::optional<double> BearingSums::mean_deg(StationId station) const {
  const auto at = std::find_if(sums_.begin(), sums_.end(),
                               [&](const Sum& s) { return s.station == station && !s.moves; });
  if (at == sums_.end()) return std::nullopt;
  return wrap_360(at->reference_deg + at->weighted_offset / at->weight);
}

BearingSums BearingSums::moved(double share,
                               const std::function<double(StationId, GeoPoint)>& turn_deg) const {
  BearingSums there = *this;
  for (Sum& s : there.sums_) {
    s.reference_deg = wrap_360(s.reference_deg + turn_deg(s.station, s.place));
    s.weight *= share;
    s.weighted_offset *= share;
    s.count *= share;
  }
  return there;
}

std::vector<StationId> BearingSums::stations() const {
  std::vector<StationId> ids;
  for (const Sum& s : sums_) {
    if (ids.empty() || ids.back() != s.station) ids.push_back(s.station);
  }
  return ids;
}

}  // namespace fixwright::track
