/// Fixes per second per core: ours, Ceres Solver with analytic Jacobian, and plain Gauss-Newton on
/// exact geodesics, on the same bearings in the same run; and a whole two-emitter transmission.
///
/// cross_fix/N is everything: starts, solution, verdicts, region. The other two are given the best
/// pair crossing as start and solve to the same place; Ceres with a tolerance of 1e-10.

#include <benchmark/benchmark.h>

#include <cmath>
#include <random>

#include "server/locate/crossings.hpp"
#include "server/locate/locate_transmission.hpp"
#include "server/locate/modes.hpp"
#include "tests/unit/locate/ceres_reference.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::locate {
namespace {

constexpr std::size_t kSets = 64;  // of bearings, taken in turn

/// N stations round the emitter at 20 to 40 km, sigma 1 degree.
std::vector<std::vector<PooledBearing>> bearing_sets(int stations) {
  std::mt19937_64 random(1);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  std::vector<std::vector<PooledBearing>> sets;
  while (sets.size() < kSets) {
    std::vector<PooledBearing> set;
    for (int i = 0; i < stations; ++i) {
      const double azimuth = 360.0 * (i + 0.3 * share(random)) / stations;
      const GeoPoint place = geodesy::direct(world::kOrigin, azimuth, 20e3 + 20e3 * share(random));
      set.push_back(world::exact(i + 1, place, world::kOrigin, 1.0));
    }
    world::add_noise(set, random);
    sets.push_back(std::move(set));
  }
  return sets;
}

GeoPoint start_of(const std::vector<PooledBearing>& bearings) {
  const LocateRules rules;
  const auto sights = make_sights(bearings, rules);
  return geodesy::geo_point(
      geodesy::surface_point_of_normal(best_crossing(sights, rules.max_range_m).up));
}

/// Gauss-Newton with the exact geodesic at every step.
GeoPoint gauss_newton_exact(const std::vector<PooledBearing>& bearings, GeoPoint at) {
  for (int step = 0; step < 20; ++step) {
    Information h;
    double east = 0.0;
    double north = 0.0;
    for (const PooledBearing& b : bearings) {
      const auto line = geodesy::inverse(b.station_position, at);
      const auto slope = geodesy::azimuth_slope(line);
      const double r = wrap_180(b.azimuth_deg - line.azimuth1_deg) / b.sigma_deg;
      const double e = slope.per_east_deg_per_m / b.sigma_deg;
      const double n = slope.per_north_deg_per_m / b.sigma_deg;
      east += r * e;
      north += r * n;
      h.ee += e * e;
      h.en += e * n;
      h.nn += n * n;
    }
    const double det = h.determinant();
    const double de = (h.nn * east - h.en * north) / det;
    const double dn = (h.ee * north - h.en * east) / det;
    at = geodesy::displace(at, {de, dn});
    if (std::hypot(de, dn) < 1e-4) {
      break;
    }
  }
  return at;
}

void cross_fix_whole(benchmark::State& state) {
  const auto sets = bearing_sets(static_cast<int>(state.range(0)));
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(cross_fix(sets[i++ % kSets]));
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(cross_fix_whole)->Arg(3)->Arg(6)->Arg(20);

/// The stages of cross_fix_whole. What the two don't take is verdicts and region; a set in some
/// tens is not near-linear or has rivals, and its contour or search costs as much as a hundred
/// others.
void stage_sights(benchmark::State& state) {
  const auto sets = bearing_sets(static_cast<int>(state.range(0)));
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(make_sights(sets[i++ % kSets], {}));
  }
}
BENCHMARK(stage_sights)->Arg(3)->Arg(6)->Arg(20);

void stage_modes(benchmark::State& state) {
  std::vector<std::vector<Sight>> sights;
  for (const auto& set : bearing_sets(static_cast<int>(state.range(0)))) {
    sights.push_back(make_sights(set, {}));
  }
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(find_modes(sights[i++ % kSets], {}));
  }
}
BENCHMARK(stage_modes)->Arg(3)->Arg(6)->Arg(20);

/// Everything, of the sets whose fix is near-linear: the usual call.
void cross_fix_near_linear(benchmark::State& state) {
  auto sets = bearing_sets(static_cast<int>(state.range(0)));
  std::erase_if(sets, [](const auto& set) {
    const CrossFix fix = cross_fix(set);
    return !fix.accepted() || fix.region_kind != RegionKind::ellipse;
  });
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(cross_fix(sets[i++ % sets.size()]));
  }
  state.SetItemsProcessed(state.iterations());
  state.counters["sets"] = static_cast<double>(sets.size());
}
BENCHMARK(cross_fix_near_linear)->Arg(3)->Arg(6)->Arg(20);

/// The solution alone, as the other two solve it: sights made, start given.
void refine_only(benchmark::State& state) {
  const auto sets = bearing_sets(static_cast<int>(state.range(0)));
  const LocateRules rules;
  std::vector<std::vector<Sight>> sights;
  std::vector<geodesy::SurfacePoint> starts;
  for (const auto& set : sets) {
    sights.push_back(make_sights(set, rules));
    starts.push_back(geodesy::surface_point(start_of(set)));
  }
  const std::vector<Choice> all(static_cast<std::size_t>(state.range(0)), 0);
  std::vector<Line> lines;
  std::size_t i = 0;
  for (auto _ : state) {
    believed_lines(sights[i % kSets], all, lines);
    benchmark::DoNotOptimize(refine_exactly(lines, starts[i % kSets], rules.max_range_m));
    ++i;
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(refine_only)->Arg(3)->Arg(6)->Arg(20);

template <typename Solver>
void solve_with(benchmark::State& state, Solver solver) {
  const auto sets = bearing_sets(static_cast<int>(state.range(0)));
  std::vector<GeoPoint> starts;
  for (const auto& set : sets) {
    starts.push_back(start_of(set));
  }
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(solver(sets[i % kSets], starts[i % kSets]));
    ++i;
  }
  state.SetItemsProcessed(state.iterations());
}

void exact_gauss_newton(benchmark::State& state) { solve_with(state, gauss_newton_exact); }
BENCHMARK(exact_gauss_newton)->Arg(3)->Arg(6)->Arg(20);

void ceres_solver(benchmark::State& state) {
  solve_with(state,
             [](const auto& set, GeoPoint start) { return reference::solve(set, start, 1e-10); });
}
BENCHMARK(ceres_solver)->Arg(3)->Arg(6)->Arg(20);

/// Two emitters, five stations, one bearing each and one that comes from nowhere.
void two_emitters(benchmark::State& state) {
  std::mt19937_64 random(4);
  std::normal_distribution<double> noise(0.0, 1.0);
  std::vector<Bearing> bearings;
  for (int s = 0; s < 5; ++s) {
    const GeoPoint place = geodesy::direct(world::kOrigin, 72.0 * s + 10.0, 25e3);
    for (const GeoPoint emitter : {GeoPoint{41.15, -150.35}, GeoPoint{41.27, -150.20}}) {
      Bearing b;
      b.key = {s + 1, 1, bearings.size() + 1};
      b.start = TimePoint{from_seconds(0.25)};
      b.station_position = place;
      b.sigma_deg = 1.0;
      b.azimuth_deg = wrap_360(geodesy::inverse(place, emitter).azimuth1_deg + noise(random));
      bearings.push_back(b);
    }
  }
  Bearing clutter = bearings.front();
  clutter.azimuth_deg = wrap_360(clutter.azimuth_deg + 123.0);
  bearings.push_back(clutter);
  for (auto _ : state) {
    benchmark::DoNotOptimize(locate_transmission(bearings, {}));
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(two_emitters);

}  // namespace
}  // namespace fixwright::locate
