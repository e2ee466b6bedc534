#include "server/locate/sight.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <tuple>

#include "server/base/angle.hpp"
#include "server/geodesy/place_error.hpp"

namespace fixwright::locate {

namespace {

constexpr double kSamePlace_m = 1.0;
constexpr double kLeastSigma_deg = 1e-6;  // below this double arithmetic rules, not the bearing

std::vector<std::size_t> canonical_order(std::span<const PooledBearing> bearings) {
  std::vector<std::size_t> order(bearings.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto key = [&](std::size_t i) {
    const PooledBearing& b = bearings[i];
    return std::tuple{b.station, b.station_position.latitude_deg, b.station_position.longitude_deg,
                      b.azimuth_deg, b.sigma_deg};
  };
  std::sort(order.begin(), order.end(), [&](auto a, auto b) {
    const StationId first = bearings[a].station;
    const StationId second = bearings[b].station;
    return first != second ? first < second : key(a) < key(b);
  });
  return order;
}

void set_hypotheses(Sight& sight, const PooledBearing& bearing) {
  sight.hypothesis_count = std::min(kMaxHypotheses, bearing.alternatives.size() + 1);
  if (sight.hypothesis_count == 1) {
    sight.hypotheses[0] = {wrap_180(bearing.azimuth_deg) * kDegToRad, 0.0};
    return;
  }
  double total = 1.0;
  for (std::size_t h = 1; h < sight.hypothesis_count; ++h) {
    total += std::clamp(bearing.alternatives[h - 1].weight, 1e-6, 1.0);
  }
  sight.hypotheses[0] = {wrap_180(bearing.azimuth_deg) * kDegToRad, std::log(total)};
  for (std::size_t h = 1; h < sight.hypothesis_count; ++h) {
    const AlternativeAzimuth& other = bearing.alternatives[h - 1];
    sight.hypotheses[h] = {wrap_180(other.azimuth_deg) * kDegToRad,
                           std::log(total / std::clamp(other.weight, 1e-6, 1.0))};
  }
}

void set_sigma(Sight& sight, double sigma_rad, const LocateRules& rules) {
  sight.sigma_rad = sigma_rad;
  const double e = rules.gross_error_share;
  const double peak = 1.0 / (sight.sigma_rad * std::sqrt(2.0 * std::numbers::pi));
  // At least two sigmas, however broad the bearing and however many gross errors.
  sight.outlier_cost_nats = std::max(2.0, std::log((1.0 - e) * peak * 2.0 * std::numbers::pi / e));
}

Sight make_sight(const PooledBearing& bearing, std::size_t input, const LocateRules& rules) {
  Sight sight;
  sight.frame = geodesy::station_frame(bearing.station_position);
  sight.station = bearing.station_position;
  sight.own_sigma_rad = std::max(bearing.sigma_deg, kLeastSigma_deg) * kDegToRad;
  sight.station_sigma_m = bearing.station_sigma_m;
  sight.moving_station = bearing.station_moves ? bearing.station : 0;
  set_sigma(sight, sight.own_sigma_rad, rules);
  sight.input = input;
  set_hypotheses(sight, bearing);
  return sight;
}

bool same_place(const Sight& a, const Sight& b) {
  double square_m2 = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    square_m2 += std::pow(a.frame.at.place_m[i] - b.frame.at.place_m[i], 2);
  }
  const bool one_vehicle = a.moving_station != 0 && a.moving_station == b.moving_station;
  const double least_m = one_vehicle ? kMovingSite_m : kSamePlace_m;
  return square_m2 < least_m * least_m;
}

void number_places(std::vector<Sight>& sights) {
  int places = 0;
  for (std::size_t i = 0; i < sights.size(); ++i) {
    const auto known = std::find_if(sights.begin(), sights.begin() + static_cast<std::ptrdiff_t>(i),
                                    [&](const Sight& s) { return same_place(s, sights[i]); });
    sights[i].place =
        known != sights.begin() + static_cast<std::ptrdiff_t>(i) ? known->place : places++;
  }
}

}  // namespace

std::vector<Sight> make_sights(std::span<const PooledBearing> bearings, const LocateRules& rules) {
  std::vector<Sight> sights;
  sights.reserve(bearings.size());
  for (const std::size_t i : canonical_order(bearings)) {
    sights.push_back(make_sight(bearings[i], i, rules));
  }
  number_places(sights);
  return sights;
}

bool widen_for_places(std::span<Sight> sights, const geodesy::SurfacePoint& point,
                      const LocateRules& rules) {
  bool changed = false;
  for (Sight& sight : sights) {
    if (sight.station_sigma_m <= 0.0) {
      continue;
    }
    const double range_m = geodesy::fast_azimuth(sight.frame, point).range_m;
    const double sigma =
        std::hypot(sight.own_sigma_rad, geodesy::place_error_rad(sight.station_sigma_m, range_m));
    changed = changed || std::abs(sigma - sight.sigma_rad) > 0.01 * sight.sigma_rad;
    set_sigma(sight, sigma, rules);
  }
  return changed;
}

int count_places(std::span<const Sight> sights) {
  int most = -1;
  for (const Sight& sight : sights) {
    most = std::max(most, sight.place);
  }
  return most + 1;
}

int count_places(std::span<const Sight> sights, std::span<const Choice> choices) {
  int count = 0;
  for (std::size_t i = 0; i < sights.size(); ++i) {
    bool first = choices[i] != kSetAside;
    for (std::size_t j = 0; first && j < i; ++j) {
      first = choices[j] == kSetAside || sights[j].place != sights[i].place;
    }
    count += first ? 1 : 0;
  }
  return count;
}

}  // namespace fixwright::locate
