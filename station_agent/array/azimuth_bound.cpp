#include "station_agent/array/azimuth_bound.hpp"

#include <Eigen/LU>
#include <cmath>
#include <limits>

#include "server/base/angle.hpp"

namespace fixwright::agent::array {

namespace {

constexpr double kUnknowable = std::numeric_limits<double>::infinity();

double deviation_deg(double variance_rad2) {
  return variance_rad2 > 0.0 ? std::sqrt(variance_rad2) * kRadToDeg : kUnknowable;
}

AzimuthBound bound_of_one(const ReceivedSources& sources, double snapshots) {
  const ElementVector a = sources.steering.col(0);
  const double s = sources.power(0, 0).real();
  const double size = a.squaredNorm();
  // S A^H R^-1 A S = s * s|a|^2 / (1 + s|a|^2) by Sherman and Morrison.
  const double information =
      2.0 * snapshots * s * (s * size / (1.0 + s * size)) * size * turning(a, sources.slope.col(0));
  return {deviation_deg(1.0 / information), 0.0};
}

}  // namespace

double turning(const ElementVector& steering, const ElementVector& slope) {
  const double size = steering.squaredNorm();
  return slope.squaredNorm() / size - std::norm(steering.dot(slope)) / (size * size);
}

AzimuthBound azimuth_bound(const ReceivedSources& sources, double snapshots) {
  if (sources.count == 1) return bound_of_one(sources, snapshots);
  const auto& a = sources.steering;
  const auto& d = sources.slope;
  const Eigen::Matrix2cd gram = a.adjoint() * a;
  const Eigen::Matrix2cd cross = a.adjoint() * d;
  const Eigen::Matrix2cd seen = d.adjoint() * d - cross.adjoint() * gram.inverse() * cross;
  // A^H R^-1 A with R = A S A^H + 1 is G (1 + S G)^-1: no inverse of the elements' size.
  const Eigen::Matrix2cd& s = sources.power;
  const Eigen::Matrix2cd inner = gram * (Eigen::Matrix2cd::Identity() + s * gram).inverse();
  const Eigen::Matrix2cd weight = s * inner * s;
  const Eigen::Matrix2d information =
      2.0 * snapshots * seen.cwiseProduct(weight.transpose()).real();
  const double determinant = information.determinant();
  if (!(determinant > 0.0)) return {kUnknowable, kUnknowable};
  return {deviation_deg(information(1, 1) / determinant),
          deviation_deg(information(0, 0) / determinant)};
}

double azimuth_bound_deg(const Manifold& manifold, double azimuth_deg, double frequency_hz,
                         double snr, double snapshots, BoundKind kind) {
  ReceivedSources one;
  one.steering.resize(manifold.elements(), 2);
  one.slope.resize(manifold.elements(), 2);
  one.steering.col(0) = manifold.steering(azimuth_deg, frequency_hz);
  one.slope.col(0) = manifold.steering_slope(azimuth_deg, frequency_hz);
  one.power(0, 0) = snr;
  const double stochastic_deg = azimuth_bound(one, snapshots).first_deg;
  if (kind == BoundKind::stochastic) return stochastic_deg;
  return stochastic_deg / std::sqrt(1.0 + 1.0 / (snr * one.steering.col(0).squaredNorm()));
}

double floor_of_error_deg(const Manifold& manifold, double azimuth_deg, double frequency_hz,
                          double error_deg) {
  const double turn = turning(manifold.steering(azimuth_deg, frequency_hz),
                              manifold.steering_slope(azimuth_deg, frequency_hz));
  return error_deg / std::sqrt(manifold.elements() * turn);
}

}  // namespace fixwright::agent::array
