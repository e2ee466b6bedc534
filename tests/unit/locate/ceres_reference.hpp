#pragma once
/// The same least squares by Ceres Solver (S. Agarwal, K. Mierle and others, ceres-solver.org): an
/// independent solver on exact geodesics, for comparison of answers and of speed.

#include <ceres/ceres.h>

#include <cmath>
#include <vector>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/model/fix.hpp"

namespace fixwright::locate::reference {

/// One bearing: residual (observed - geodesic azimuth) / sigma; parameters latitude and longitude
/// in degrees; analytic derivatives by the radii of curvature of WGS84 (NIMA TR8350.2).
class AzimuthCost final : public ceres::SizedCostFunction<1, 2> {
 public:
  explicit AzimuthCost(const PooledBearing& bearing) : bearing_(bearing) {}

  bool Evaluate(double const* const* parameters, double* residuals,
                double** jacobians) const override {
    const GeoPoint point{parameters[0][0], parameters[0][1]};
    const auto line = geodesy::inverse(bearing_.station_position, point);
    residuals[0] = wrap_180(bearing_.azimuth_deg - line.azimuth1_deg) / bearing_.sigma_deg;
    if (jacobians != nullptr && jacobians[0] != nullptr) {
      const auto slope = geodesy::azimuth_slope(line);
      const double latitude_rad = point.latitude_deg * kDegToRad;
      const double w2 = 1.0 - kE2 * std::pow(std::sin(latitude_rad), 2);
      const double prime_vertical_m = kA_m / std::sqrt(w2);
      const double meridian_m = prime_vertical_m * (1.0 - kE2) / w2;
      jacobians[0][0] = -slope.per_north_deg_per_m * meridian_m * kDegToRad / bearing_.sigma_deg;
      jacobians[0][1] = -slope.per_east_deg_per_m * prime_vertical_m * std::cos(latitude_rad) *
                        kDegToRad / bearing_.sigma_deg;
    }
    return true;
  }

 private:
  static constexpr double kA_m = 6378137.0;
  static constexpr double kE2 = 6.69437999014e-3;
  PooledBearing bearing_;
};

/// Levenberg-Marquardt with dense QR from `start`.
inline GeoPoint solve(const std::vector<PooledBearing>& bearings, GeoPoint start,
                      double function_tolerance = 1e-16) {
  double place[2] = {start.latitude_deg, start.longitude_deg};
  ceres::Problem problem;
  for (const PooledBearing& b : bearings) {
    problem.AddResidualBlock(new AzimuthCost(b), nullptr, place);
  }
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::DENSE_QR;
  options.num_threads = 1;
  options.max_num_iterations = 100;
  options.function_tolerance = function_tolerance;
  options.gradient_tolerance = 1e-14;
  options.parameter_tolerance = 1e-14;
  options.logging_type = ceres::SILENT;
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  return {place[0], place[1]};
}

}  // namespace fixwright::locate::reference
