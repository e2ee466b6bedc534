#include "server/track/motion_filter.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/track/place_error.hpp"
#include "server/track/sight_line.hpp"
#include "server/track/smoothing_link.hpp"
#include "server/track/state_matrix.hpp"

namespace fixwright::track {

namespace {

constexpr int kUpdateIterations = 4;
/// A further iteration that moves the place by less would move it by nothing that matters.
constexpr double kSettled_m = 1.0;

/// How far north turns along a step: the direction of the state's axes at the new place.
double convergence_rad(GeoPoint from, GeoPoint to) {
  const double middle_rad = 0.5 * (from.latitude_deg + to.latitude_deg) * kDegToRad;
  return wrap_180(to.longitude_deg - from.longitude_deg) * kDegToRad * std::sin(middle_rad);
}

void drift(StateMap& p, double dt) {
  p.row(0) += dt * p.row(2);
  p.row(1) += dt * p.row(3);
  p.col(0) += dt * p.col(2);
  p.col(1) += dt * p.col(3);
}

void add_white_acceleration(StateMap& p, double sigma_m_per_s2, double dt) {
  const double q = sigma_m_per_s2 * sigma_m_per_s2;
  for (int axis = 0; axis < 2; ++axis) {
    p(axis, axis) += q * dt * dt * dt / 3.0;
    p(axis, axis + 2) += q * dt * dt / 2.0;
    p(axis + 2, axis) += q * dt * dt / 2.0;
    p(axis + 2, axis + 2) += q * dt;
  }
}

void turn_pairs(StateMap& p, double rad) {
  const double c = std::cos(rad);
  const double s = std::sin(rad);
  for (int e = 0; e < 4; e += 2) {
    const Eigen::Matrix<double, 1, Eigen::Dynamic, Eigen::RowMajor, 1, kMaxStateSize> east =
        p.row(e);
    p.row(e) = c * east + s * p.row(e + 1);
    p.row(e + 1) = c * p.row(e + 1) - s * east;
  }
  for (int e = 0; e < 4; e += 2) {
    const StateVector east = p.col(e);
    p.col(e) = c * east + s * p.col(e + 1);
    p.col(e + 1) = c * p.col(e + 1) - s * east;
  }
}

double squared(double x) { return x * x; }

}  // namespace

double surprise(double residual_deg, double variance_deg2) {
  return residual_deg * residual_deg / variance_deg2 + std::log(variance_deg2);
}

/// A bearing as the state sees it: what it expects, and how each part of the state changes that.
struct MotionFilter::Look {
  double azimuth_deg = 0.0;
  double range_m = 0.0;
  double per_east_deg = 0.0;
  double per_north_deg = 0.0;
  std::size_t site = 0;  // place_of() the station
  double noise_deg2 = 0.0;
};

MotionFilter::MotionFilter(GeoPoint position, const EnCovariance& covariance, TimePoint at,
                           Motion motion)
    : acceleration_m_per_s2_(motion.acceleration_m_per_s2) {
  s_.position = position;
  s_.at = at;
  auto p = covariance_map(s_);
  p(0, 0) = covariance.ee_m2;
  p(0, 1) = p(1, 0) = covariance.en_m2;
  p(1, 1) = covariance.nn_m2;
  p(2, 2) = p(3, 3) = squared(motion.speed_sigma_m_per_s);
}

MotionFilter MotionFilter::departing(Motion motion) const {
  MotionFilter from(s_, motion.acceleration_m_per_s2);
  from.s_.speed_m_per_s = {};
  auto p = covariance_map(from.s_);
  p.middleRows<2>(2).setZero();
  p.middleCols<2>(2).setZero();
  p(2, 2) = p(3, 3) = squared(motion.speed_sigma_m_per_s);
  return from;
}

void MotionFilter::advance(TimePoint to, SmoothingLink* link) {
  if (to <= s_.at) return;
  const double dt = seconds(to - s_.at);
  const MotionState before = link != nullptr ? s_ : MotionState{};
  s_.at = to;
  auto p = covariance_map(s_);
  drift(p, dt);
  add_white_acceleration(p, acceleration_m_per_s2_, dt);
  if (link != nullptr) link->advanced(before, s_, dt);
  shift(s_.speed_m_per_s[0] * dt, s_.speed_m_per_s[1] * dt, link);
}

/// An azimuth grows by the convergence along the step; east and north turn by it.
void MotionFilter::shift(double east_m, double north_m, SmoothingLink* link) {
  if (east_m == 0.0 && north_m == 0.0) return;
  const GeoPoint moved = step_from(s_.position, east_m, north_m);
  const double turn = convergence_rad(s_.position, moved);
  auto p = covariance_map(s_);
  turn_pairs(p, turn);
  if (link != nullptr) link->turned(turn);
  const auto [east, north] = s_.speed_m_per_s;
  s_.speed_m_per_s = {std::cos(turn) * east + std::sin(turn) * north,
                      std::cos(turn) * north - std::sin(turn) * east};
  s_.position = moved;
}

void MotionFilter::admit_site(const Bearing& bearing, const SiteErrors& sites) {
  const double variance = sites.site_variance_deg2(bearing);
  const bool known = s_.place_of(bearing.key.station) < s_.size();
  if (known || variance <= 0.0 || s_.sites == MotionState::kMaxSites) return;
  s_.site[s_.sites] = bearing.key.station;
  s_.site_error_deg[s_.sites] = 0.0;
  ++s_.sites;
  auto p = covariance_map(s_);
  const auto last = p.rows() - 1;
  p.row(last).setZero();
  p.col(last).setZero();
  p(last, last) = variance;
}

/// A clock error shifts a mover along its path: (v e / range)^2 more.
double MotionFilter::clock_variance_deg2(const Bearing& bearing, double range_m) const {
  const double speed = std::hypot(s_.speed_m_per_s[0], s_.speed_m_per_s[1]);
  const double shift_m = speed * seconds(bearing.clock_error);
  return squared(shift_m / std::max(range_m, 1.0) * kRadToDeg);
}

MotionFilter::Look MotionFilter::look(const Bearing& bearing, double east_m, double north_m,
                                      const SiteErrors& sites) const {
  const auto view = sight_line(bearing.station_position, step_from(s_.position, east_m, north_m));
  Look look;
  look.range_m = view.range_m;
  look.azimuth_deg = view.azimuth_rad * kRadToDeg;
  look.per_east_deg = view.per_east_rad_per_m * kRadToDeg;
  look.per_north_deg = view.per_north_rad_per_m * kRadToDeg;
  look.site = s_.place_of(bearing.key.station);
  look.noise_deg2 = sites.noise_variance_deg2(bearing) +
                    clock_variance_deg2(bearing, view.range_m) +
                    place_variance_deg2(bearing, view.range_m);
  if (look.site == s_.size()) look.noise_deg2 += sites.site_variance_deg2(bearing);
  return look;
}

Prediction MotionFilter::predict(const Bearing& bearing, const SiteErrors& sites) const {
  const double dt = std::max(seconds(bearing.middle() - s_.at), 0.0);
  const Look then = look(bearing, s_.speed_m_per_s[0] * dt, s_.speed_m_per_s[1] * dt, sites);
  const auto p = covariance_map(s_);
  StateVector h = StateVector::Zero(p.rows());
  h.head<4>() << then.per_east_deg, then.per_north_deg, then.per_east_deg * dt,
      then.per_north_deg * dt;
  double azimuth = then.azimuth_deg;
  if (then.site < s_.size()) {
    h[static_cast<Eigen::Index>(then.site)] = 1.0;
    azimuth += s_.site_error_deg[then.site - MotionState::kMoving];
  }
  const double wander_m2 = squared(acceleration_m_per_s2_) * dt * dt * dt / 3.0;
  const double across = squared(then.per_east_deg) + squared(then.per_north_deg);
  const double spread = h.dot(p * h) + wander_m2 * across;
  return {wrap_360(azimuth), spread + then.noise_deg2, then.range_m};
}

double MotionFilter::update(const Bearing& bearing, double azimuth_deg, const SiteErrors& sites,
                            SmoothingLink* link, double gate_sigmas) {
  advance(bearing.middle(), link);
  const std::size_t known = s_.sites;
  admit_site(bearing, sites);
  if (link != nullptr && s_.sites > known) link->admitted_site();
  const double observed = azimuth_deg - sites.bias_deg(bearing);
  auto p = covariance_map(s_);
  StateVector x = StateVector::Zero(p.rows());  // relative to the predicted mean
  StateVector ph(p.rows());
  StateVector gain(p.rows());
  double variance = 0.0;
  double paid = 0.0;
  for (int i = 0; i < kUpdateIterations; ++i) {
    const Look at = look(bearing, x[0], x[1], sites);
    ph = at.per_east_deg * p.col(0) + at.per_north_deg * p.col(1);
    double error = 0.0;
    if (at.site < s_.size()) {
      const auto site = static_cast<Eigen::Index>(at.site);
      ph += p.col(site);
      error = s_.site_error_deg[at.site - MotionState::kMoving];
    }
    const double hph = at.per_east_deg * ph[0] + at.per_north_deg * ph[1] +
                       (at.site < s_.size() ? ph[static_cast<Eigen::Index>(at.site)] : 0.0);
    variance = hph + at.noise_deg2;
    gain = ph / variance;
    const double residual = wrap_180(observed - error - at.azimuth_deg);
    if (i == 0) {
      const double limit = squared(gate_sigmas) * variance;
      if (squared(residual) > limit) return surprise(std::sqrt(limit), variance);
      paid = surprise(residual, variance);
    }
    const StateVector last = x;
    x = gain * (residual + at.per_east_deg * x[0] + at.per_north_deg * x[1]);
    if (std::abs(x[0] - last[0]) + std::abs(x[1] - last[1]) < kSettled_m) break;
  }
  p -= gain * ph.transpose();
  p = (0.5 * (p + p.transpose())).eval();
  if (link != nullptr) link->moved(x.data(), s_.size());
  s_.speed_m_per_s[0] += x[2];
  s_.speed_m_per_s[1] += x[3];
  for (std::size_t i = 0; i < s_.sites; ++i) {
    s_.site_error_deg[i] += x[static_cast<Eigen::Index>(MotionState::kMoving + i)];
  }
  shift(x[0], x[1], link);
  return paid;
}

EnCovariance MotionFilter::covariance() const { return {s_.p(0, 0), s_.p(0, 1), s_.p(1, 1)}; }

/// The squared speed's mean and variance are exact; its root is taken as Nakagami's.
Velocity velocity_of(double east_m_per_s, double north_m_per_s, const EnCovariance& spread) {
  const double e = east_m_per_s;
  const double n = north_m_per_s;
  const double mean_square = e * e + n * n + spread.ee_m2 + spread.nn_m2;
  Velocity v;
  v.course_deg = wrap_360(std::atan2(e, n) * kRadToDeg);
  if (!(mean_square > 0.0)) return v;
  const double along = e * e * spread.ee_m2 + 2.0 * e * n * spread.en_m2 + n * n * spread.nn_m2;
  const double own = squared(spread.ee_m2) + 2.0 * squared(spread.en_m2) + squared(spread.nn_m2);
  const double shape = squared(mean_square) / std::max(2.0 * own + 4.0 * along, 1e-300);
  constexpr double kLargeShape = 30.0;  // from here on the series is exact to 1e-6
  const double share =
      shape > kLargeShape
          ? 1.0 - 1.0 / (8.0 * shape) + 1.0 / (128.0 * squared(shape))
          : std::exp(std::lgamma(shape + 0.5) - std::lgamma(shape)) / std::sqrt(shape);
  v.speed_m_per_s = share * std::sqrt(mean_square);
  v.speed_sigma_m_per_s = std::sqrt(std::max(mean_square * (1.0 - share * share), 0.0));
  return v;
}

Velocity MotionFilter::velocity() const {
  return velocity_of(s_.speed_m_per_s[0], s_.speed_m_per_s[1],
                     {s_.p(2, 2), s_.p(2, 3), s_.p(3, 3)});
}

double MotionFilter::speed_chi_square() const {
  const double determinant = s_.p(2, 2) * s_.p(3, 3) - s_.p(2, 3) * s_.p(3, 2);
  if (!(determinant > 0.0)) return 0.0;
  const auto [e, n] = s_.speed_m_per_s;
  return (s_.p(3, 3) * e * e - (s_.p(2, 3) + s_.p(3, 2)) * e * n + s_.p(2, 2) * n * n) /
         determinant;
}

double MotionFilter::position_sigma_m() const {
  const EnCovariance c = covariance();
  const double mean = 0.5 * (c.ee_m2 + c.nn_m2);
  const double half = std::hypot(0.5 * (c.ee_m2 - c.nn_m2), c.en_m2);
  return std::sqrt(std::max(mean + half, 0.0));
}

}  // namespace fixwright::track
