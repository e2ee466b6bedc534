#include "server/locate/region.hpp"

#include <cassert>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/locate/contour.hpp"
#include "server/locate/solution.hpp"

namespace fixwright::locate {

double variance_growth(const CrossFix& fix) {
  const bool grows = fix.grade == FixGrade::odd && fix.degrees_of_freedom > 0;
  return grows ? std::max(1.0, fix.chi_square / fix.degrees_of_freedom) : 1.0;
}

ConfidenceRegion region_of(std::span<const Line> lines, const Estimate& solution, double growth,
                           double probability, const LocateRules& rules) {
  const double k = geodesy::ellipse_factor(probability);
  const double rise = k * k * growth;
  ConfidenceRegion region;
  if (near_linear(solution, rise)) {
    const EnCovariance c = covariance_of(solution.information);
    region.ellipse =
        geodesy::error_ellipse({c.ee_m2 * growth, c.en_m2 * growth, c.nn_m2 * growth}, probability);
    return region;
  }
  region.kind = RegionKind::likelihood;
  Contour contour = trace_contour(lines, solution, rise, rules.max_range_m);
  region.ellipse = covering_ellipse(contour, probability);
  region.ring = std::move(contour.ring);
  region.open = contour.open;
  return region;
}

Solution restore(std::span<const PooledBearing> bearings, const CrossFix& fix,
                 const LocateRules& rules) {
  assert(bearings.size() == fix.verdicts.size());
  Solution solution;
  solution.sights = make_sights(bearings, rules);
  std::vector<Choice> choices;
  for (const Sight& sight : solution.sights) {
    const PooledVerdict& verdict = fix.verdicts[sight.input];
    choices.push_back(verdict.used ? static_cast<Choice>(verdict.alternative + 1) : kSetAside);
  }
  believed_lines(solution.sights, choices, solution.lines);
  correct_lines(solution.lines, geodesy::surface_point(fix.position));
  solution.estimate = evaluate(solution.lines, geodesy::surface_point(fix.position));
  return solution;
}

ConfidenceRegion confidence_region(std::span<const PooledBearing> bearings, const CrossFix& fix,
                                   double probability, const LocateRules& rules) {
  const Solution s = restore(bearings, fix, rules);
  return region_of(s.lines, s.estimate, variance_growth(fix), probability, rules);
}

bool region_holds(std::span<const PooledBearing> bearings, const CrossFix& fix, double probability,
                  GeoPoint point, const LocateRules& rules) {
  const Solution s = restore(bearings, fix, rules);
  const double k = geodesy::ellipse_factor(probability);
  const double rise = k * k * variance_growth(fix);
  if (near_linear(s.estimate, rise)) {
    const geodesy::EnOffset x = geodesy::offset(fix.position, point);
    return geodesy::mahalanobis_squared(covariance_of(s.estimate.information), x) <= rise;
  }
  return disbelief(s.lines, s.estimate.chi_square, geodesy::surface_point(point)) <= rise;
}

}  // namespace fixwright::locate
