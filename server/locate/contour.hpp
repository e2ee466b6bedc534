#pragma once
/// The region round a solution whose points the bearings do not rule out. Inside `locate` only.

#include <span>
#include <vector>

#include "server/geodesy/local_frame.hpp"
#include "server/locate/refine.hpp"

namespace fixwright::locate {

struct Contour {
  std::vector<GeoPoint> ring;              // closed, counter-clockwise
  std::vector<geodesy::EnOffset> offsets;  // of each vertex but the last, from the solution
  bool open = false;                       // some ray reached the range limit first
};

/// Where disbelief() reaches `rise`, looked for along rays from the region's middle, which is not
/// the solution where that sits at a station. Each ray ends where it first gets there, or where a
/// station is `range_limit_m` away.
Contour trace_contour(std::span<const Line> lines, const Estimate& solution, double rise,
                      double range_limit_m);

/// The ellipse round the solution with the contour's proportions, large enough to hold it all.
ErrorEllipse covering_ellipse(const Contour& contour, double probability);

/// True when the ellipse of `rise` may stand for the contour: its semi-major axis is at most a
/// tenth of the range to the nearest station. Measured: tests/unit/locate/coverage_test.cpp.
bool near_linear(const Estimate& solution, double rise);

}  // namespace fixwright::locate
