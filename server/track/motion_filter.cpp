#include "server/track/motion_filter.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/track/sight_line.hpp"

namespace fixwright::track {

namespace {

using Matrix4 = Eigen::Matrix<double, 4, 4, Eigen::RowMajor>;
using Map4 = Eigen::Map<Matrix4>;
using ConstMap4 = Eigen::Map<const Matrix4>;

constexpr int kUpdateIterations = 3;  // the third moves nothing past a metre unless very close

/// How far north turns along a step: the direction of the state's axes at the new place.
double convergence_rad(GeoPoint from, GeoPoint to) {
  const double middle_rad = 0.5 * (from.latitude_deg + to.latitude_deg) * kDegToRad;
  return wrap_180(to.longitude_deg - from.longitude_deg) * kDegToRad * std::sin(middle_rad);
}

Matrix4 white_acceleration(double sigma_m_per_s2, double dt) {
  const double q = sigma_m_per_s2 * sigma_m_per_s2;
  Matrix4 noise = Matrix4::Zero();
  for (int axis = 0; axis < 2; ++axis) {
    noise(axis, axis) = q * dt * dt * dt / 3.0;
    noise(axis, axis + 2) = noise(axis + 2, axis) = q * dt * dt / 2.0;
    noise(axis + 2, axis + 2) = q * dt;
  }
  return noise;
}

Eigen::RowVector4d slope_deg(const geodesy::AzimuthView& view) {
  return {view.per_east_rad_per_m * kRadToDeg, view.per_north_rad_per_m * kRadToDeg, 0.0, 0.0};
}

}  // namespace

double surprise(double residual_deg, double variance_deg2) {
  return residual_deg * residual_deg / variance_deg2 + std::log(variance_deg2);
}

MotionFilter::MotionFilter(GeoPoint position, const EnCovariance& covariance, TimePoint at,
                           Motion motion)
    : position_(position), at_(at), acceleration_m_per_s2_(motion.acceleration_m_per_s2) {
  Map4 p(p_.data());
  p.setZero();
  p(0, 0) = covariance.ee_m2;
  p(0, 1) = p(1, 0) = covariance.en_m2;
  p(1, 1) = covariance.nn_m2;
  p(2, 2) = p(3, 3) = motion.speed_sigma_m_per_s * motion.speed_sigma_m_per_s;
}

void MotionFilter::advance(TimePoint to) {
  if (to <= at_) return;
  const double dt = seconds(to - at_);
  at_ = to;
  Matrix4 step = Matrix4::Identity();
  step(0, 2) = step(1, 3) = dt;
  Map4 p(p_.data());
  p = (step * p * step.transpose() + white_acceleration(acceleration_m_per_s2_, dt)).eval();
  shift(speed_m_per_s_[0] * dt, speed_m_per_s_[1] * dt);
}

void MotionFilter::shift(double east_m, double north_m) {
  const GeoPoint moved = step_from(position_, east_m, north_m);
  // An azimuth grows by the convergence along the step; east and north turn by it.
  const double turn = convergence_rad(position_, moved);
  const double c = std::cos(turn);
  const double s = std::sin(turn);
  Matrix4 rotate = Matrix4::Zero();
  for (int block = 0; block < 4; block += 2) {
    rotate(block, block) = rotate(block + 1, block + 1) = c;
    rotate(block, block + 1) = s;
    rotate(block + 1, block) = -s;
  }
  Map4 p(p_.data());
  p = (rotate * p * rotate.transpose()).eval();
  const auto [east, north] = speed_m_per_s_;
  speed_m_per_s_ = {c * east + s * north, c * north - s * east};
  position_ = moved;
}

/// A clock error shifts a mover along its path: (v e / range)^2 more.
double MotionFilter::noise_deg2(const Bearing& bearing, double range_m,
                                const SiteErrors& sites) const {
  const double speed = std::hypot(speed_m_per_s_[0], speed_m_per_s_[1]);
  const double shift_m = speed * seconds(bearing.clock_error);
  const double clock_deg = shift_m / std::max(range_m, 1.0) * kRadToDeg;
  return sites.variance_deg2(bearing) + clock_deg * clock_deg;
}

Prediction MotionFilter::predict(const Bearing& bearing, const SiteErrors& sites) const {
  MotionFilter then = *this;
  then.advance(bearing.middle());
  const auto view = sight_line(bearing.station_position, then.position_);
  const Eigen::RowVector4d h = slope_deg(view);
  const double spread = (h * ConstMap4(then.p_.data())).dot(h);
  return {wrap_360(view.azimuth_rad * kRadToDeg),
          spread + then.noise_deg2(bearing, view.range_m, sites), view.range_m};
}

void MotionFilter::update(const Bearing& bearing, double azimuth_deg, const SiteErrors& sites) {
  advance(bearing.middle());
  const double observed = azimuth_deg - sites.bias_deg(bearing.key.station);
  Map4 p(p_.data());
  Eigen::Vector4d x = Eigen::Vector4d::Zero();  // relative to the predicted mean
  Eigen::Vector4d gain = Eigen::Vector4d::Zero();
  Eigen::RowVector4d h = Eigen::RowVector4d::Zero();
  double noise = 0.0;
  for (int i = 0; i < kUpdateIterations; ++i) {
    const auto view = sight_line(bearing.station_position, step_from(position_, x[0], x[1]));
    h = slope_deg(view);
    noise = noise_deg2(bearing, view.range_m, sites);
    gain = p * h.transpose() / (h.dot(p * h.transpose()) + noise);
    const double residual = wrap_180(observed - view.azimuth_rad * kRadToDeg);
    x = gain * (residual + h.dot(x));
  }
  // Joseph's form stays symmetric and positive, whatever the rounding.
  const Matrix4 keep = Matrix4::Identity() - gain * h;
  p = (keep * p * keep.transpose() + noise * gain * gain.transpose()).eval();
  speed_m_per_s_[0] += x[2];
  speed_m_per_s_[1] += x[3];
  shift(x[0], x[1]);
}

EnCovariance MotionFilter::covariance() const { return {p_[0], 0.5 * (p_[1] + p_[4]), p_[5]}; }

Velocity MotionFilter::velocity() const {
  const auto [east, north] = speed_m_per_s_;
  Velocity v;
  v.speed_m_per_s = std::hypot(east, north);
  v.course_deg = wrap_360(std::atan2(east, north) * kRadToDeg);
  v.speed_sigma_m_per_s = std::sqrt(std::max(0.5 * (p_[10] + p_[15]), 0.0));
  return v;
}

double MotionFilter::speed_chi_square() const {
  const double determinant = p_[10] * p_[15] - p_[11] * p_[14];
  if (!(determinant > 0.0)) return 0.0;
  const auto [e, n] = speed_m_per_s_;
  return (p_[15] * e * e - (p_[11] + p_[14]) * e * n + p_[10] * n * n) / determinant;
}

double MotionFilter::position_sigma_m() const {
  const EnCovariance c = covariance();
  const double mean = 0.5 * (c.ee_m2 + c.nn_m2);
  const double half = std::hypot(0.5 * (c.ee_m2 - c.nn_m2), c.en_m2);
  return std::sqrt(std::max(mean + half, 0.0));
}

}  // namespace fixwright::track
