#include "server/locate/modes.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "server/locate/crossings.hpp"

namespace fixwright::locate {

namespace {

using geodesy::AzimuthView;
using geodesy::SurfacePoint;

constexpr std::size_t kMaxStarts = 16;       // refined, of those that look best
constexpr std::size_t kMaxCrossings = 4000;  // looked at
constexpr int kMaxRounds = 6;                // of believing anew and solving again

/// The cheapest belief about one sight at a point whose own uncertainty is `spread2_rad2`.
struct Belief {
  Choice choice = kSetAside;
  double cost_nats = 0.0;
};

Belief cheapest(const Sight& sight, const AzimuthView& view, double spread2_rad2) {
  Belief best{kSetAside, sight.outlier_cost_nats};
  const double variance = sight.sigma_rad * sight.sigma_rad + spread2_rad2;
  for (std::size_t h = 0; h < sight.hypothesis_count; ++h) {
    const double r = wrap_pi(sight.hypotheses[h].azimuth_rad - view.azimuth_rad);
    const double cost = 0.5 * r * r / variance + sight.hypotheses[h].cost_nats;
    // A bearing of the other side of the sky is never believed, however broad.
    if (cost < best.cost_nats && std::abs(r) < 1.5) {
      best = {static_cast<Choice>(h), cost};
    }
  }
  return best;
}

double spread2(const AzimuthView& view, const EnCovariance& c) {
  const double e = view.per_east_rad_per_m;
  const double n = view.per_north_rad_per_m;
  return e * e * c.ee_m2 + 2.0 * e * n * c.en_m2 + n * n * c.nn_m2;
}

/// Past this the series' error can rival a very sharp bearing; the geodesic is asked.
constexpr double kSeriesEnough_m = 300'000.0;

AzimuthView view_of(const Sight& sight, const SurfacePoint& point) {
  AzimuthView view = geodesy::fast_azimuth(sight.frame, point);
  if (view.range_m > kSeriesEnough_m) {
    view.azimuth_rad = geodesy::exact_azimuth(sight.station, geodesy::geo_point(point)).azimuth_rad;
  }
  return view;
}

/// What all sights think of a point known to within `covariance`.
double believe(std::span<const Sight> sights, const SurfacePoint& point,
               const EnCovariance& covariance, std::vector<Choice>& choices) {
  double cost = 0.0;
  for (std::size_t i = 0; i < sights.size(); ++i) {
    const AzimuthView view = view_of(sights[i], point);
    const Belief belief = cheapest(sights[i], view, spread2(view, covariance));
    choices[i] = belief.choice;
    cost += belief.cost_nats;
  }
  return cost;
}

/// Room that is used again for every start.
struct Workspace {
  std::vector<Line> lines;
  std::vector<Choice> choices;
  std::vector<Choice> before;
};

struct Start {
  SurfacePoint point;
  EnCovariance covariance;
  double cost_nats = 0.0;
};

Line line_of(const Sight& sight, Choice choice) {
  const auto h = static_cast<std::size_t>(choice);
  return {&sight.frame, sight.station, sight.hypotheses[h].azimuth_rad, 1.0 / sight.sigma_rad};
}

/// The pair's own solution on the ellipsoid, and its covariance.
Start start_from(std::span<const Sight> sights, const Crossing& c, double range_limit_m) {
  std::array<Line, 2> pair{line_of(sights[c.first], c.first_choice),
                           line_of(sights[c.second], c.second_choice)};
  const Estimate e = refine_exactly(pair, geodesy::surface_point_of_normal(c.up), range_limit_m);
  const bool known = e.information.determinant() > 0.0;
  return {e.point, known ? covariance_of(e.information) : EnCovariance{}, 0.0};
}

std::vector<Start> rank_starts(std::span<const Sight> sights, const LocateRules& rules,
                               Workspace& work) {
  std::vector<Crossing> crossings;
  find_crossings(sights, search_limit_m(rules), crossings);
  const auto better = [](const Crossing& a, const Crossing& b) {
    return a.determinant > b.determinant;
  };
  std::stable_sort(crossings.begin(), crossings.end(), better);
  crossings.resize(std::min(crossings.size(), kMaxCrossings));
  std::vector<Start> starts;
  starts.reserve(crossings.size());
  for (const Crossing& crossing : crossings) {
    Start start = start_from(sights, crossing, search_limit_m(rules));
    start.cost_nats = believe(sights, start.point, start.covariance, work.choices);
    starts.push_back(start);
  }
  std::stable_sort(starts.begin(), starts.end(),
                   [](const Start& a, const Start& b) { return a.cost_nats < b.cost_nats; });
  starts.resize(std::min(starts.size(), kMaxStarts));
  return starts;
}

/// Belief and solution in turn until the belief stands. False when fewer than two places remain.
bool settle(std::span<const Sight> sights, const Start& start, const LocateRules& rules,
            Workspace& work, Mode& mode) {
  believe(sights, start.point, start.covariance, work.choices);
  SurfacePoint point = start.point;
  int iterations = 0;
  for (int round = 0; round < kMaxRounds; ++round) {
    if (count_places(sights, work.choices) < 2) {
      return false;
    }
    believed_lines(sights, work.choices, work.lines);
    mode.estimate = refine_exactly(work.lines, point, search_limit_m(rules));
    iterations += mode.estimate.iterations;
    point = mode.estimate.point;
    work.before = work.choices;
    mode.cost_nats = believe(sights, point, {}, work.choices);
    if (work.choices == work.before) {
      break;
    }
  }
  mode.estimate.iterations = iterations;
  mode.choices = work.before;
  mode.places = count_places(sights, mode.choices);
  return true;
}

bool same_mode(const Mode& a, const Mode& b) {
  if (a.choices == b.choices) {
    double square_m2 = 0.0;
    for (std::size_t i = 0; i < 3; ++i) {
      square_m2 += std::pow(a.estimate.point.place_m[i] - b.estimate.point.place_m[i], 2);
    }
    const double near_m = 0.01 * a.estimate.nearest_m + 1.0;
    return square_m2 < near_m * near_m;
  }
  return false;
}

/// All bearings from one good start: the answer in nearly every clean case.
bool settle_all(std::span<const Sight> sights, const LocateRules& rules, Workspace& work,
                Mode& mode) {
  const Crossing crossing = best_crossing(sights, search_limit_m(rules));
  if (crossing.determinant <= 0.0) {
    return false;
  }
  mode.choices.assign(sights.size(), 0);
  believed_lines(sights, mode.choices, work.lines);
  mode.estimate = refine_exactly(work.lines, geodesy::surface_point_of_normal(crossing.up),
                                 search_limit_m(rules));
  mode.cost_nats = 0.5 * mode.estimate.chi_square;
  mode.places = count_places(sights);
  return mode.estimate.converged;
}

/// Is every bearing of a mode of all bearings nearer than its own price as a gross error?
bool all_believed(std::span<const Sight> sights, const Mode& mode) {
  return std::all_of(sights.begin(), sights.end(), [&](const Sight& sight) {
    const AzimuthView view = view_of(sight, mode.estimate.point);
    const double r = wrap_pi(sight.hypotheses[0].azimuth_rad - view.azimuth_rad) / sight.sigma_rad;
    return 0.5 * r * r < sight.outlier_cost_nats;
  });
}

/// Could another mode come within the gap of this one? A rival sets bearings aside and pays for
/// each; while what it could afford leaves it three places of ours, it is this mode again. With
/// three places it must afford none. Another bend of the same likelihood a small region excludes.
bool beyond_rivals(std::span<const Sight> sights, const Mode& mode, const LocateRules& rules) {
  constexpr double kSmallRegion = 0.2;  // 95 % semi-major axis over the nearest range
  double cheapest_outlier = 1e9;
  for (const Sight& sight : sights) {
    if (sight.hypothesis_count > 1) {
      return false;
    }
    cheapest_outlier = std::min(cheapest_outlier, sight.outlier_cost_nats);
  }
  const Information& h = mode.estimate.information;
  const double determinant = h.determinant();
  const double trace_over_det = determinant > 0.0 ? (h.ee + h.nn) / determinant : 1e18;
  const double reach_m = kSmallRegion * mode.estimate.nearest_m;
  const double affordable =
      std::floor((mode.cost_nats + rules.min_rival_gap_nats) / cheapest_outlier);
  return affordable <= std::max(0, mode.places - 3) && all_believed(sights, mode) &&
         5.99 * trace_over_det < reach_m * reach_m;
}

/// Cost of believing all bearings and doubting all sigmas by one factor instead: the factor that
/// fits best, at a price. It keeps a station whose neighbours are just as far off.
double doubted_cost(const Mode& all) {
  constexpr double kPrice_nats = 3.0;    // one in twenty sets of bearings has such sigmas
  constexpr double kMostFactor2 = 16.0;  // sigmas short by more than four are not sigmas
  const auto count = static_cast<double>(all.choices.size());
  const double factor2 = all.estimate.chi_square / (count - 2.0);
  if (count < 4.0 || factor2 <= 1.0 || factor2 > kMostFactor2) {
    return all.cost_nats;
  }
  return std::min(all.cost_nats,
                  0.5 * count * std::log(factor2) + 0.5 * (count - 2.0) + kPrice_nats);
}

}  // namespace

double search_limit_m(const LocateRules& rules) {
  return std::min(2.0 * rules.max_range_m, 1.95e7);
}

void believed_lines(std::span<const Sight> sights, std::span<const Choice> choices,
                    std::vector<Line>& lines) {
  lines.clear();
  for (std::size_t i = 0; i < sights.size(); ++i) {
    if (choices[i] != kSetAside) {
      lines.push_back(line_of(sights[i], choices[i]));
    }
  }
}

std::vector<Mode> find_modes(std::span<const Sight> sights, const LocateRules& rules) {
  Workspace work;
  work.lines.reserve(sights.size());
  work.choices.assign(sights.size(), 0);
  std::vector<Mode> modes;
  Mode all;
  if (settle_all(sights, rules, work, all)) {
    if (beyond_rivals(sights, all, rules)) {
      modes.push_back(std::move(all));
      return modes;
    }
    all.cost_nats = doubted_cost(all);
    modes.push_back(std::move(all));
  }
  for (const Start& start : rank_starts(sights, rules, work)) {
    Mode mode;
    if (settle(sights, start, rules, work, mode) &&
        std::none_of(modes.begin(), modes.end(),
                     [&](const Mode& m) { return same_mode(m, mode); })) {
      modes.push_back(std::move(mode));
    }
  }
  std::stable_sort(modes.begin(), modes.end(), [](const Mode& a, const Mode& b) {
    return a.cost_nats != b.cost_nats ? a.cost_nats < b.cost_nats : a.places > b.places;
  });
  return modes;
}

}  // namespace fixwright::locate
