#include "server/locate/cross_fix.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/locate/solution.hpp"

namespace fixwright::locate {

namespace {

/// Everything one cross-fix is judged by.
struct Case {
  std::span<const Sight> sights;
  const LocateRules* rules = nullptr;
  std::vector<Mode> modes;
  std::vector<Line> lines;                    // of the best mode, corrected
  std::vector<geodesy::AzimuthView> views{};  // of the best mode's place, one a sight
};

CrossFix refused(std::size_t bearings, Refusal why) {
  CrossFix fix;
  fix.refusal = why;
  fix.verdicts.resize(bearings);
  return fix;
}

void look_from_all(Case& c, GeoPoint place) {
  c.views.reserve(c.sights.size());
  for (const Sight& sight : c.sights) {
    c.views.push_back(geodesy::fast_azimuth(sight.frame, c.modes.front().estimate.point));
    if (c.views.back().range_m > geodesy::kFastRange_m) {
      c.views.back() = geodesy::exact_azimuth(sight.station, place);
    }
  }
}

/// Of the believed lines. The rates of an azimuth are square to its line of sight, so two lines
/// cross as their rates do.
double widest_crossing_deg(const Case& c) {
  const std::vector<Choice>& choices = c.modes.front().choices;
  double widest = 0.0;  // squared sine
  for (std::size_t i = 0; i < c.views.size(); ++i) {
    const double ae = c.views[i].per_east_rad_per_m;
    const double an = c.views[i].per_north_rad_per_m;
    for (std::size_t j = i + 1; choices[i] != kSetAside && j < c.views.size(); ++j) {
      const double be = c.views[j].per_east_rad_per_m;
      const double bn = c.views[j].per_north_rad_per_m;
      const double cross = ae * bn - an * be;
      const double lengths2 = (ae * ae + an * an) * (be * be + bn * bn);
      if (choices[j] != kSetAside && cross * cross > widest * lengths2) {
        widest = cross * cross / lengths2;
      }
    }
  }
  return std::asin(std::sqrt(std::min(widest, 1.0))) * kRadToDeg;
}

/// Residual of the believed azimuth, or of the main one where none is; and its share in the fix.
PooledVerdict verdict_on(const Sight& sight, Choice choice, const geodesy::AzimuthView& view) {
  const auto h = static_cast<std::size_t>(std::max<Choice>(choice, 0));
  const double r = wrap_pi(sight.hypotheses[h].azimuth_rad - view.azimuth_rad);
  const double cost = 0.5 * std::pow(r / sight.sigma_rad, 2) + sight.hypotheses[h].cost_nats;
  PooledVerdict verdict;
  verdict.residual_deg = wrap_180(r * kRadToDeg);
  verdict.weight = 1.0 / (1.0 + std::exp(std::min(cost - sight.outlier_cost_nats, 700.0)));
  verdict.used = choice != kSetAside;
  verdict.alternative = choice > 0 ? choice - 1 : -1;
  return verdict;
}

void set_verdicts(const Case& c, CrossFix& fix) {
  const Mode& best = c.modes.front();
  for (std::size_t i = 0; i < c.sights.size(); ++i) {
    fix.verdicts[c.sights[i].input] = verdict_on(c.sights[i], best.choices[i], c.views[i]);
  }
}

/// Squared distance between two modes in units of their joint uncertainty.
double apart(const Mode& a, const Mode& b) {
  const EnCovariance ca = covariance_of(a.estimate.information);
  const EnCovariance cb = covariance_of(b.estimate.information);
  geodesy::Vec3 d{};
  for (std::size_t i = 0; i < 3; ++i) {
    d[i] = b.estimate.point.place_m[i] - a.estimate.point.place_m[i];
  }
  const double e = geodesy::dot(d, a.estimate.point.east);
  const double n = geodesy::dot(d, a.estimate.point.north);
  const EnCovariance sum{ca.ee_m2 + cb.ee_m2, ca.en_m2 + cb.en_m2, ca.nn_m2 + cb.nn_m2};
  return (sum.nn_m2 * e * e - 2.0 * sum.en_m2 * e * n + sum.ee_m2 * n * n) /
         (sum.ee_m2 * sum.nn_m2 - sum.en_m2 * sum.en_m2);
}

/// A place that is no part of the fix's own region and nearly as likely.
bool has_rival(const Case& c, double growth) {
  const double elsewhere = 9.21 * growth;  // chi-square, 2 degrees of freedom, 99 %
  const Mode& best = c.modes.front();
  return std::any_of(c.modes.begin() + 1, c.modes.end(), [&](const Mode& m) {
    return m.cost_nats - best.cost_nats < c.rules->min_rival_gap_nats &&
           m.estimate.information.determinant() > 0.0 && apart(best, m) > elsewhere;
  });
}

/// Evidence, in nats, that three stations of more agree because they hear one emitter, against two
/// that do and a third that fits by chance: the third's density where it lies, with the variance
/// its residual has, over that of a gross error. The variance is sigma^2 over its redundancy number
/// (W. Baarda, A testing procedure for use in geodetic networks, 1968): small redundancy means that
/// this bearing alone says how far away the place is, and much would have fitted. The weakest
/// counts.
double bare_evidence_nats(const Case& c) {
  const Mode& best = c.modes.front();
  const EnCovariance p = covariance_of(best.estimate.information);
  double weakest = 1e9;
  for (std::size_t i = 0; i < c.sights.size(); ++i) {
    if (best.choices[i] == kSetAside) {
      continue;
    }
    const Sight& sight = c.sights[i];
    const geodesy::AzimuthView v = geodesy::fast_azimuth(sight.frame, best.estimate.point);
    const double e = v.per_east_rad_per_m / sight.sigma_rad;
    const double n = v.per_north_rad_per_m / sight.sigma_rad;
    const double leverage = e * e * p.ee_m2 + 2.0 * e * n * p.en_m2 + n * n * p.nn_m2;
    const double redundancy = std::max(1.0 - leverage, 1e-9);
    weakest = std::min(weakest, sight.outlier_cost_nats + 0.5 * std::log(redundancy));
  }
  return weakest - 0.5 * best.estimate.chi_square;
}

bool solvable(const Estimate& e) {
  const Information& h = e.information;
  return std::isfinite(e.chi_square) && std::isfinite(h.ee + h.nn) &&
         h.determinant() > 1e-12 * h.ee * h.nn && h.determinant() > 0.0;
}

Refusal judge_mode(const Case& c, const CrossFix& fix) {
  const Mode& best = c.modes.front();
  const int heard_from = count_places(c.sights);
  if (heard_from >= 3 && best.places < 3) {
    return Refusal::inconsistent;
  }
  if (heard_from > 3 && best.places == 3 &&
      bare_evidence_nats(c) < c.rules->min_bare_evidence_nats) {
    return Refusal::inconsistent;
  }
  if (fix.crossing_deg < c.rules->min_crossing_deg) {
    return Refusal::poor_geometry;
  }
  if (best.estimate.farthest_m > c.rules->max_range_m) {
    return Refusal::out_of_range;
  }
  return has_rival(c, variance_growth(fix)) ? Refusal::ambiguous : Refusal::none;
}

FixGrade grade_of(const Case& c, const CrossFix& fix) {
  if (c.modes.front().places < 3) {
    return FixGrade::unchecked;
  }
  return fix.p_value < c.rules->odd_p_value ? FixGrade::odd : FixGrade::checked;
}

void set_region(const Case& c, CrossFix& fix) {
  constexpr double kProbability = 0.95;
  ConfidenceRegion region =
      region_of(c.lines, c.modes.front().estimate, variance_growth(fix), kProbability, *c.rules);
  fix.region_kind = region.kind;
  fix.ellipse = region.ellipse;
  fix.covariance = geodesy::covariance_of(region.ellipse);
  fix.region = std::move(region.ring);
  fix.region_open = region.open;
  if (region.open && !c.rules->accept_open_region && fix.refusal == Refusal::none) {
    fix.refusal = Refusal::unbounded;
  }
}

CrossFix describe(Case& c, std::size_t bearings) {
  const Mode& best = c.modes.front();
  believed_lines(c.sights, best.choices, c.lines);
  if (best.estimate.farthest_m > geodesy::kFastRange_m) {
    correct_lines(c.lines, best.estimate.point);
  }
  CrossFix fix = refused(bearings, Refusal::none);
  fix.position = geodesy::geo_point(best.estimate.point);
  look_from_all(c, fix.position);
  fix.iterations = best.estimate.iterations;
  fix.chi_square = best.estimate.chi_square;
  fix.degrees_of_freedom = std::max(0, static_cast<int>(c.lines.size()) - 2);
  fix.p_value = geodesy::chi_square_survival(fix.chi_square, fix.degrees_of_freedom);
  fix.crossing_deg = widest_crossing_deg(c);
  fix.grade = grade_of(c, fix);
  set_verdicts(c, fix);
  return fix;
}

}  // namespace

CrossFix cross_fix(std::span<const PooledBearing> bearings, const LocateRules& rules) {
  std::vector<Sight> sights = make_sights(bearings, rules);
  if (count_places(sights) < 2) {
    return refused(bearings.size(), Refusal::one_station);
  }
  Case c{sights, &rules, find_modes(sights, rules), {}};
  // What a vehicle's uncertain place means for its azimuth, the range says: in turns.
  constexpr int kMaxRounds = 4;
  for (int round = 0; round < kMaxRounds && !c.modes.empty() &&
                      widen_for_places(sights, c.modes.front().estimate.point, rules);
       ++round) {
    c.modes = find_modes(sights, rules);
  }
  if (c.modes.empty() || !solvable(c.modes.front().estimate)) {
    return refused(bearings.size(), Refusal::no_crossing);
  }
  CrossFix fix = describe(c, bearings.size());
  fix.refusal = judge_mode(c, fix);
  if (fix.refusal == Refusal::none || fix.refusal == Refusal::ambiguous) {
    set_region(c, fix);
  }
  return fix;
}

}  // namespace fixwright::locate
