#pragma once
/// The region that holds the emitter with a stated probability.

#include <span>
#include <vector>

#include "server/locate/rules.hpp"
#include "server/model/fix.hpp"

namespace fixwright::locate {

/// A region at one probability: an ellipse where the fix is near-linear there, else the set of
/// places whose score statistic stays below -2 ln(1 - p): its probability holds whatever the
/// geometry (refine.hpp, disbelief()).
///
/// Measured against the likelihood ratio's contour (tests/unit/locate/coverage_test.cpp, 10 000
/// trials in each of 25 geometries, 50 / 95 / 99 %): both hold as stated in 23; 500 m and 100 m
/// from a station the ratio's hold 54.1 / 96.3 / 99.3 and 61.4 / 96.9 / 99.5 %, the score's 50.0
/// / 95.0 / 99.2 and 51.2 / 95.6 / 99.3 %. So the score decides. RegionKind::likelihood is the word
/// on the wire for a contour of either; RegionKind::posterior is never produced.
struct ConfidenceRegion {
  RegionKind kind = RegionKind::ellipse;
  ErrorEllipse ellipse;        // the region, or one that covers it; centred on the fix
  std::vector<GeoPoint> ring;  // closed, counter-clockwise; empty for an ellipse
  bool open = false;           // cut off at rules.max_range_m
};

/// \param bearings  those the fix was made of, in the same order.
/// \param fix       accepted, from cross_fix() under the same rules.
/// \pre 0 < probability < 1.
ConfidenceRegion confidence_region(std::span<const PooledBearing> bearings, const CrossFix& fix,
                                   double probability, const LocateRules& rules = {});

/// Does that region hold the point? Exact: the likelihood is asked, not the drawn ring.
bool region_holds(std::span<const PooledBearing> bearings, const CrossFix& fix, double probability,
                  GeoPoint point, const LocateRules& rules = {});

/// By how much the residuals say the stated sigmas fall short, as a factor on variance, >= 1: the
/// Birge ratio chi-square / degrees of freedom (R. T. Birge, Phys. Rev. 40 (1932) 207), applied
/// only to a fix graded odd.
double variance_growth(const CrossFix& fix);

}  // namespace fixwright::locate
