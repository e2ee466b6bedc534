#pragma once
/// The contour of a likelihood ratio round a solution. Inside `locate` only.

#include <span>
#include <vector>

#include "server/locate/refine.hpp"

namespace fixwright::locate {

struct Contour {
  std::vector<GeoPoint> ring;  // closed, counter-clockwise
  std::vector<double> east_m;  // of each vertex from the solution, along the great circle
  std::vector<double> north_m;
  bool open = false;  // some ray reached the range limit first
};

/// Where chi-square rises by `rise` above the solution's, looked for along rays from it: each ray
/// ends where it first gets there, or where a station is `range_limit_m` away.
///
/// Two bearings that cross give a region every ray leaves just once, since along a ray from the
/// crossing each residual only grows; with more bearings a re-entrant part, seen in no geometry of
/// tests/unit/locate, would be left out.
Contour trace_contour(std::span<const Line> lines, const Estimate& solution, double rise,
                      double range_limit_m);

/// The ellipse round the solution with the contour's proportions, large enough to hold it all.
ErrorEllipse covering_ellipse(const Contour& contour, double probability);

/// True when the ellipse of `rise` may stand for the contour: its semi-major axis is at most a
/// fifth of the range to the nearest station. Measured: tests/unit/locate/coverage_test.cpp.
bool near_linear(const Estimate& solution, double rise);

}  // namespace fixwright::locate
