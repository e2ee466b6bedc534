#include "server/track/motion_start.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "server/base/angle.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/track/place_error.hpp"
#include "server/track/sight_line.hpp"
#include "server/track/state_matrix.hpp"

namespace fixwright::track {

namespace {

constexpr int kMaxSteps = 40;
constexpr double kSettled_m = 0.1;
/// Past this share of the range the covariance of a crossing no longer says how far it may be off.
constexpr double kMaxSigmaOfRange = 0.25;

double squared(double x) { return x * x; }

/// One step's normal equations at one state.
struct Normal {
  StateMatrix information;
  StateVector pull;
  double cost = 0.0;
};

class Start {
 public:
  Start(std::span<const HeardBearing> heard, const SiteErrors& sites, MotionFilter::Motion motion)
      : heard_(heard), sites_(sites), motion_(motion) {
    s_.at = heard.front().bearing->middle();
    for (const HeardBearing& h : heard) s_.at = std::max(s_.at, h.bearing->middle());
    for (const HeardBearing& h : heard) admit(*h.bearing);
  }

  std::optional<MotionFilter> from(GeoPoint guess) {
    s_.position = guess;
    if (!settle()) return std::nullopt;
    const Normal there = normal_at(s_);
    const Eigen::LLT<StateMatrix> factor(there.information);
    if (factor.info() != Eigen::Success) return std::nullopt;
    const auto n = static_cast<Eigen::Index>(s_.size());
    auto p = covariance_map(s_);
    p = factor.solve(StateMatrix::Identity(n, n));
    if (motion_.speed_sigma_m_per_s <= 0.0) forget_speed();
    const MotionFilter filter(s_, motion_.acceleration_m_per_s2);
    if (!(filter.position_sigma_m() < kMaxSigmaOfRange * nearest_m())) return std::nullopt;
    return filter;
  }

 private:
  void admit(const Bearing& b) {
    const bool known = s_.place_of(b.key.station) < s_.size();
    if (known || s_.sites == MotionState::kMaxSites || sites_.site_variance_deg2(b) <= 0.0) return;
    s_.site[s_.sites++] = b.key.station;
  }

  [[nodiscard]] double nearest_m() const {
    double nearest = std::numeric_limits<double>::infinity();
    for (const HeardBearing& h : heard_) {
      nearest = std::min(nearest, sight_line(h.bearing->station_position, s_.position).range_m);
    }
    return nearest;
  }

  void forget_speed() {
    auto p = covariance_map(s_);
    p.middleRows<2>(2).setZero();
    p.middleCols<2>(2).setZero();
    s_.speed_m_per_s = {};
  }

  void add_priors(const MotionState& s, Normal& n) const {
    const double speed_weight =
        motion_.speed_sigma_m_per_s > 0.0 ? 1.0 / squared(motion_.speed_sigma_m_per_s) : 1.0;
    for (int axis = 0; axis < 2; ++axis) {
      const double v = s.speed_m_per_s[static_cast<std::size_t>(axis)];
      n.information(2 + axis, 2 + axis) += speed_weight;
      n.pull[2 + axis] -= speed_weight * v;
      n.cost += speed_weight * v * v;
    }
  }

  void add(const MotionState& s, const HeardBearing& h, Normal& n) const;
  [[nodiscard]] Normal normal_at(const MotionState& s) const;
  [[nodiscard]] MotionState stepped(const StateVector& by) const;
  bool settle();

  std::span<const HeardBearing> heard_;
  const SiteErrors& sites_;
  MotionFilter::Motion motion_;
  MotionState s_;
};

/// The acceleration that the straight line leaves out counts as noise.
void Start::add(const MotionState& s, const HeardBearing& h, Normal& n) const {
  const Bearing& b = *h.bearing;
  const bool moves = motion_.speed_sigma_m_per_s > 0.0;
  const double ago = moves ? seconds(s.at - b.middle()) : 0.0;
  const GeoPoint place =
      step_from(s.position, -s.speed_m_per_s[0] * ago, -s.speed_m_per_s[1] * ago);
  const auto view = sight_line(b.station_position, place);
  const double east = view.per_east_rad_per_m * kRadToDeg;
  const double north = view.per_north_rad_per_m * kRadToDeg;
  StateVector slope = StateVector::Zero(n.pull.size());
  slope.head<4>() << east, north, -east * ago, -north * ago;
  double residual = wrap_180(h.azimuth_deg - sites_.bias_deg(b) - view.azimuth_rad * kRadToDeg);
  const double wander_m2 = squared(motion_.acceleration_m_per_s2) * ago * ago * ago / 3.0;
  double variance = sites_.noise_variance_deg2(b) + place_variance_deg2(b, view.range_m) +
                    wander_m2 * (squared(east) + squared(north));
  const std::size_t site = s.place_of(b.key.station);
  if (site < s.size()) {
    slope[static_cast<Eigen::Index>(site)] = 1.0;
    residual = wrap_180(residual - s.site_error_deg[site - MotionState::kMoving]);
  } else {
    variance += sites_.site_variance_deg2(b);
  }
  n.information += slope * slope.transpose() / variance;
  n.pull += slope * (residual / variance);
  n.cost += residual * residual / variance;
}

Normal Start::normal_at(const MotionState& s) const {
  const auto size = static_cast<Eigen::Index>(s.size());
  Normal n{StateMatrix::Zero(size, size), StateVector::Zero(size), 0.0};
  for (const HeardBearing& h : heard_) add(s, h, n);
  for (std::size_t i = 0; i < s.sites; ++i) {
    const auto heard = std::find_if(heard_.begin(), heard_.end(), [&](const HeardBearing& h) {
      return h.bearing->key.station == s.site[i];
    });
    const double weight = 1.0 / sites_.site_variance_deg2(*heard->bearing);
    const auto at = static_cast<Eigen::Index>(MotionState::kMoving + i);
    n.information(at, at) += weight;
    n.pull[at] -= weight * s.site_error_deg[i];
    n.cost += weight * squared(s.site_error_deg[i]);
  }
  add_priors(s, n);
  return n;
}

MotionState Start::stepped(const StateVector& by) const {
  MotionState s = s_;
  s.position = step_from(s_.position, by[0], by[1]);
  s.speed_m_per_s[0] += by[2];
  s.speed_m_per_s[1] += by[3];
  for (std::size_t i = 0; i < s.sites; ++i) {
    s.site_error_deg[i] += by[static_cast<Eigen::Index>(MotionState::kMoving + i)];
  }
  return s;
}

bool Start::settle() {
  Normal here = normal_at(s_);
  double damping = 1e-3;
  for (int i = 0; i < kMaxSteps; ++i) {
    StateMatrix damped = here.information;
    damped.diagonal() *= 1.0 + damping;
    const Eigen::LLT<StateMatrix> factor(damped);
    if (factor.info() != Eigen::Success) return false;
    const StateVector step = factor.solve(here.pull);
    if (!step.allFinite() || std::hypot(step[0], step[1]) > 1e7) return false;
    const MotionState next = stepped(step);
    Normal there = normal_at(next);
    const bool better = there.cost <= here.cost;
    if (better) {
      s_ = next;
      here = std::move(there);
    }
    if (std::hypot(step[0], step[1]) < kSettled_m) return true;
    damping = std::clamp(better ? damping * 0.1 : damping * 10.0, 1e-12, 1e12);
  }
  return true;  // where it got to; the covariance there judges it
}

/// Least squares on the plane round the first station: each line's distance from the place.
std::optional<GeoPoint> mean_crossing(std::span<const HeardBearing> heard) {
  const GeoPoint origin = heard.front().bearing->station_position;
  Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
  Eigen::Vector2d pull = Eigen::Vector2d::Zero();
  for (const HeardBearing& h : heard) {
    const double azimuth = h.azimuth_deg * kDegToRad;
    const Eigen::Vector2d across{std::cos(azimuth), -std::sin(azimuth)};
    const auto [east, north] = geodesy::offset(origin, h.bearing->station_position);
    normal += across * across.transpose();
    pull += across * across.dot(Eigen::Vector2d{east, north});
  }
  // Parallel lines cross nowhere: 1 in 10^4 is one degree.
  if (normal.determinant() < 1e-4 * squared(0.5 * normal.trace())) return std::nullopt;
  const Eigen::Vector2d place = normal.inverse() * pull;
  return geodesy::displace(origin, {place[0], place[1]});
}

}  // namespace

std::optional<MotionFilter> start_motion(std::span<const HeardBearing> heard,
                                         const SiteErrors& sites, MotionFilter::Motion motion,
                                         std::optional<GeoPoint> guess) {
  if (heard.empty()) return std::nullopt;
  const auto first = guess ? guess : mean_crossing(heard);
  if (!first) return std::nullopt;
  return Start(heard, sites, motion).from(*first);
}

}  // namespace fixwright::track
