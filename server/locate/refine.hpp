#pragma once
/// The inner loop: weighted least squares of azimuths by damped Gauss-Newton steps. It allocates
/// nothing. Inside `locate` only.

#include <span>

#include "server/geodesy/fast_azimuth.hpp"
#include "server/model/fix.hpp"

namespace fixwright::locate {

/// One believed azimuth.
struct Line {
  const geodesy::StationFrame* frame = nullptr;
  GeoPoint station;
  double azimuth_rad = 0.0;
  double inverse_sigma = 0.0;  // 1/rad
  /// Exact minus fast azimuth, and rates, at the place last finished; 0 until then.
  double correction_rad = 0.0;
  double east_correction_rad_per_m = 0.0;
  double north_correction_rad_per_m = 0.0;
};

/// Fisher information of (east, north), 1/m^2.
struct Information {
  double ee = 0.0;
  double en = 0.0;
  double nn = 0.0;
  [[nodiscard]] double determinant() const { return ee * nn - en * en; }
};

struct Estimate {
  geodesy::SurfacePoint point;
  double chi_square = 0.0;
  Information information;
  double nearest_m = 0.0;   // range to the nearest station
  double farthest_m = 0.0;  // to the farthest
  int iterations = 0;
  bool converged = false;
};

/// Sum of squared normalised residuals at a point.
double chi_square_at(std::span<const Line> lines, const geodesy::SurfacePoint& point);

/// How far a point is from being the true place, as chi-square with 2 degrees of freedom.
///
/// Rao's score statistic: the part of the residuals that a move of the point could explain,
/// slope' information^-1 slope. At the true place the residuals are the errors themselves, so it is
/// chi-square with 2 degrees of freedom in every geometry, where the likelihood ratio is so only
/// for many bearings (C. R. Rao, Proc. Cambridge Phil. Soc. 44 (1948) 50). It is 0 at the solution,
/// but also at other bends of the likelihood: what is less likely than the solution by more than
/// 9 in chi-square beyond its score counts by that instead.
double disbelief(std::span<const Line> lines, double solution_chi_square,
                 const geodesy::SurfacePoint& point);

/// chi-square, information and ranges at a point; no step.
Estimate evaluate(std::span<const Line> lines, const geodesy::SurfacePoint& point);

/// The least chi-square reached downhill from `start`. Ends when a step is below 0.1 mm, when no
/// step helps, after 60 steps, or past `range_limit_m` from a station.
Estimate refine(std::span<const Line> lines, const geodesy::SurfacePoint& start,
                double range_limit_m);

/// refine(), then the same with azimuths exact to the geodesic wherever a range is past the fast
/// one's: the difference is taken at the solution and held while solving again, until it stands.
Estimate refine_exactly(std::span<Line> lines, const geodesy::SurfacePoint& start,
                        double range_limit_m);

/// Sets each far line's correction for this place; returns the largest change, in metres across.
double correct_lines(std::span<Line> lines, const geodesy::SurfacePoint& point);

/// Inverse of the information, in the east-north frame of the estimate's point.
EnCovariance covariance_of(const Information& information);

}  // namespace fixwright::locate
