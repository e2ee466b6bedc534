#include "server/track/newcomer.hpp"

#include <cmath>
#include <numbers>

#include "server/track/station_view.hpp"

namespace fixwright::track {

namespace {

/// One transmission in a hundred brings somebody new.
constexpr double kArrives = 0.01;
/// A station within reach hears him; as habits have it before there are any.
constexpr double kIsHeard = 0.8;
/// He is somewhere within 100 km.
constexpr double kArea_m2 = std::numbers::pi * 1e10;

}  // namespace

double newcomers_log_likelihood(std::span<const NewcomersBearing> bearings, const EnCovariance& c) {
  double sum = std::log(kArrives);
  for (const NewcomersBearing& b : bearings) {
    const double peak = 1.0 / std::sqrt(2.0 * std::numbers::pi * b.variance_deg2);
    sum += std::log(kIsHeard * peak / kNobodysDensity) -
           0.5 * b.residual_deg * b.residual_deg / b.variance_deg2;
  }
  const double determinant = c.ee_m2 * c.nn_m2 - c.en_m2 * c.en_m2;
  const double spread_m2 =
      2.0 * std::numbers::pi * std::sqrt(determinant > 0.0 ? determinant : 0.0);
  return sum + std::log(spread_m2 < kArea_m2 ? spread_m2 / kArea_m2 : 1.0);
}

}  // namespace fixwright::track
