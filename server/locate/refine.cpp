#include "server/locate/refine.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "server/locate/sight.hpp"

namespace fixwright::locate {

namespace {

using geodesy::AzimuthView;
using geodesy::SurfacePoint;

constexpr double kStepEnough_m = 1e-4;
constexpr int kMaxSteps = 60;
constexpr double kMaxDamping = 1e8;

struct Slope {
  double east = 0.0;
  double north = 0.0;
};

struct Linearised {
  Estimate estimate;
  Slope slope;  // of half chi-square, downhill
};

double residual(const Line& line, const AzimuthView& view) {
  return wrap_pi(wrap_pi(line.azimuth_rad - view.azimuth_rad) - line.correction_rad);
}

Linearised linearise(std::span<const Line> lines, const SurfacePoint& point) {
  Linearised at;
  Estimate& e = at.estimate;
  e.point = point;
  e.nearest_m = std::numeric_limits<double>::max();
  for (const Line& line : lines) {
    const AzimuthView view = geodesy::fast_azimuth(*line.frame, point);
    const double r = residual(line, view) * line.inverse_sigma;
    const double east =
        (view.per_east_rad_per_m + line.east_correction_rad_per_m) * line.inverse_sigma;
    const double north =
        (view.per_north_rad_per_m + line.north_correction_rad_per_m) * line.inverse_sigma;
    e.chi_square += r * r;
    at.slope.east += r * east;
    at.slope.north += r * north;
    e.information.ee += east * east;
    e.information.en += east * north;
    e.information.nn += north * north;
    e.nearest_m = std::min(e.nearest_m, view.range_m);
    e.farthest_m = std::max(e.farthest_m, view.range_m);
  }
  return at;
}

/// Solves (information, diagonal raised by damping) step = slope, no longer than `longest_m`.
Slope step_from(const Information& h, const Slope& slope, double damping, double longest_m) {
  const double ee = h.ee * (1.0 + damping);
  const double nn = h.nn * (1.0 + damping);
  const double determinant = ee * nn - h.en * h.en;
  Slope step;
  if (determinant > 1e-14 * ee * nn) {
    step = {(nn * slope.east - h.en * slope.north) / determinant,
            (ee * slope.north - h.en * slope.east) / determinant};
  } else {  // one direction is unknown: go straight downhill
    const double scale = 1.0 / std::max(ee + nn, std::numeric_limits<double>::min());
    step = {slope.east * scale, slope.north * scale};
  }
  const double length = std::sqrt(step.east * step.east + step.north * step.north);
  if (length > longest_m) {
    step.east *= longest_m / length;
    step.north *= longest_m / length;
  }
  return step;
}

bool finite(const Slope& s) { return std::isfinite(s.east) && std::isfinite(s.north); }

}  // namespace

double chi_square_at(std::span<const Line> lines, const SurfacePoint& point) {
  double sum = 0.0;
  for (const Line& line : lines) {
    const double r = residual(line, geodesy::fast_azimuth(*line.frame, point)) * line.inverse_sigma;
    sum += r * r;
  }
  return sum;
}

double disbelief(std::span<const Line> lines, double solution_chi_square,
                 const SurfacePoint& point) {
  constexpr double kLeeway = 9.0;
  const Linearised at = linearise(lines, point);
  const Information& h = at.estimate.information;
  const double rise = at.estimate.chi_square - solution_chi_square;
  const double determinant = h.determinant();
  if (determinant <= 1e-12 * h.ee * h.nn) {  // on the line through all stations
    return rise;
  }
  const double score =
      (h.nn * at.slope.east * at.slope.east - 2.0 * h.en * at.slope.east * at.slope.north +
       h.ee * at.slope.north * at.slope.north) /
      determinant;
  return std::max(score, rise - kLeeway);
}

Estimate evaluate(std::span<const Line> lines, const SurfacePoint& point) {
  return linearise(lines, point).estimate;
}

Estimate refine(std::span<const Line> lines, const SurfacePoint& start, double range_limit_m) {
  Linearised here = linearise(lines, start);
  double damping = 0.0;
  int steps = 0;
  while (steps < kMaxSteps && damping < kMaxDamping) {
    ++steps;
    // A step longer than the way to the nearest station would jump over its nonlinearity.
    const double longest_m = 0.5 * std::max(here.estimate.nearest_m, 1.0);
    const Slope step = step_from(here.estimate.information, here.slope, damping, longest_m);
    if (!finite(step)) {
      break;
    }
    const double length2 = step.east * step.east + step.north * step.north;
    if (length2 < kStepEnough_m * kStepEnough_m) {  // going would change nothing that is told
      here.estimate.converged = true;
      break;
    }
    Linearised there = linearise(lines, geodesy::moved(here.estimate.point, step.east, step.north));
    if (there.estimate.chi_square <= here.estimate.chi_square) {
      here = there;
      damping = damping < 1e-3 ? 0.0 : damping * 0.1;
      if (here.estimate.farthest_m > range_limit_m) {
        break;
      }
    } else {
      damping = std::max(1e-2, damping * 10.0);
    }
  }
  here.estimate.iterations = steps;
  return here.estimate;
}

Estimate refine_exactly(std::span<Line> lines, const SurfacePoint& start, double range_limit_m) {
  constexpr int kMaxRounds = 8;
  constexpr double kStands_m = 5e-5;
  Estimate estimate = refine(lines, start, range_limit_m);
  int iterations = estimate.iterations;
  for (int round = 0; round < kMaxRounds; ++round) {
    if (estimate.farthest_m <= geodesy::kFastRange_m || estimate.farthest_m > range_limit_m) {
      break;
    }
    if (correct_lines(lines, estimate.point) < kStands_m) {
      break;
    }
    estimate = refine(lines, estimate.point, range_limit_m);
    iterations += estimate.iterations;
  }
  estimate.iterations = iterations;
  return estimate;
}

double correct_lines(std::span<Line> lines, const SurfacePoint& point) {
  const GeoPoint place = geodesy::geo_point(point);
  double change_m = 0.0;
  for (Line& line : lines) {
    const AzimuthView fast = geodesy::fast_azimuth(*line.frame, point);
    if (fast.range_m <= geodesy::kFastRange_m && line.correction_rad == 0.0) {
      continue;
    }
    const AzimuthView exact = geodesy::exact_azimuth(line.station, place);
    const double correction = wrap_pi(exact.azimuth_rad - fast.azimuth_rad);
    change_m = std::max(change_m, std::abs(correction - line.correction_rad) * fast.range_m);
    line.correction_rad = correction;
    line.east_correction_rad_per_m = exact.per_east_rad_per_m - fast.per_east_rad_per_m;
    line.north_correction_rad_per_m = exact.per_north_rad_per_m - fast.per_north_rad_per_m;
  }
  return change_m;
}

EnCovariance covariance_of(const Information& h) {
  const double determinant = h.determinant();
  return {h.nn / determinant, -h.en / determinant, h.ee / determinant};
}

}  // namespace fixwright::locate
