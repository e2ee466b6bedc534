#pragma once
/// Monte Carlo trials of cross_fix() for the statistical tests. Every one has a fixed seed.

#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "server/locate/cross_fix.hpp"
#include "server/locate/region.hpp"
#include "server/locate/solution.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::locate::trials {

/// A station as the emitter sees it.
struct Seat {
  double azimuth_deg = 0.0;
  double range_m = 0.0;
};

struct Layout {
  const char* name = "";
  std::vector<Seat> seats;
  double sigma_deg = 1.0;
  GeoPoint emitter = world::kOrigin;
};

inline std::vector<PooledBearing> exact_bearings(const Layout& layout) {
  std::vector<PooledBearing> bearings;
  for (const Seat& seat : layout.seats) {
    const GeoPoint place = geodesy::direct(layout.emitter, seat.azimuth_deg, seat.range_m);
    const auto station = static_cast<StationId>(bearings.size() + 1);
    bearings.push_back(world::exact(station, place, layout.emitter, layout.sigma_deg));
  }
  return bearings;
}

/// Cramer-Rao bound on the mean squared position error, m^2: the trace of the inverse Fisher
/// information at the true place, from the exact geodesic, independent of the code under test.
inline double bound_m2(const std::vector<PooledBearing>& bearings, GeoPoint emitter) {
  double ee = 0.0;
  double en = 0.0;
  double nn = 0.0;
  for (const PooledBearing& b : bearings) {
    const auto slope = geodesy::azimuth_slope(geodesy::inverse(b.station_position, emitter));
    const double e = slope.per_east_deg_per_m / b.sigma_deg;
    const double n = slope.per_north_deg_per_m / b.sigma_deg;
    ee += e * e;
    en += e * n;
    nn += n * n;
  }
  return (ee + nn) / (ee * nn - en * en);
}

struct Tally {
  int trials = 0;
  int accepted = 0;
  int held_50 = 0;
  int held_95 = 0;
  int held_99 = 0;
  int ratio_50 = 0;  // the same of the likelihood-ratio region, at every place
  int ratio_95 = 0;
  int ratio_99 = 0;
  double squares_m2 = 0.0;

  [[nodiscard]] double answered() const { return static_cast<double>(accepted) / trials; }
  [[nodiscard]] double share(int held) const { return static_cast<double>(held) / accepted; }
  [[nodiscard]] double rmse_m() const { return std::sqrt(squares_m2 / accepted); }
};

/// By how much the true place is less likely than the fix, as chi-square, over what growth allows:
/// the likelihood-ratio region of probability p holds it when this is at most -2 ln(1 - p).
inline double ratio_at(const std::vector<PooledBearing>& bearings, const CrossFix& fix,
                       GeoPoint place, const LocateRules& rules) {
  const Solution s = restore(bearings, fix, rules);
  const double rise = chi_square_at(s.lines, geodesy::surface_point(place)) - s.estimate.chi_square;
  return rise / variance_growth(fix);
}

/// Gaussian errors of the stated sigma; regions that reach the range limit count as they are.
inline Tally run(const Layout& layout, int trials, std::uint64_t seed) {
  // Each layout draws its own errors, so that one unlucky draw is not every layout's.
  std::mt19937_64 random(seed + std::hash<std::string>{}(layout.name));
  const auto exact = exact_bearings(layout);
  LocateRules rules;
  rules.accept_open_region = true;
  Tally tally;
  tally.trials = trials;
  for (int i = 0; i < trials; ++i) {
    auto bearings = exact;
    world::add_noise(bearings, random);
    const CrossFix fix = cross_fix(bearings, rules);
    if (!fix.accepted()) {
      continue;
    }
    ++tally.accepted;
    tally.squares_m2 += std::pow(geodesy::distance_m(fix.position, layout.emitter), 2);
    const auto holds = [&](double p) {
      return region_holds(bearings, fix, p, layout.emitter, rules) ? 1 : 0;
    };
    tally.held_50 += holds(0.50);
    tally.held_95 += holds(0.95);
    tally.held_99 += holds(0.99);
    const double ratio = ratio_at(bearings, fix, layout.emitter, rules);
    tally.ratio_50 += ratio <= -2.0 * std::log(0.50) ? 1 : 0;
    tally.ratio_95 += ratio <= -2.0 * std::log(0.05) ? 1 : 0;
    tally.ratio_99 += ratio <= -2.0 * std::log(0.01) ? 1 : 0;
  }
  return tally;
}

}  // namespace fixwright::locate::trials
