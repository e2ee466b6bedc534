#pragma once
/// Where an emitter is and how it moves, updated bearing by bearing with the exact measurement.
///
/// Iterated extended Kalman filter (B. M. Bell, F. W. Cathey, IEEE Trans. Automatic Control 38
/// (1993) 294): nearly constant velocity with white acceleration (Y. Bar-Shalom, X. R. Li,
/// T. Kirubarajan, Estimation with Applications to Tracking and Navigation, 2001, 6.2.2), and
/// each site's constant error as a part of the state. With no speed and no acceleration it is the
/// filter of a place. A bearing costs the same whatever came before it.

#include <limits>

#include "server/model/bearing.hpp"
#include "server/model/emitter.hpp"
#include "server/track/motion_state.hpp"
#include "server/track/site_errors.hpp"

namespace fixwright::track {

class SmoothingLink;

/// What a hypothesis expects of a bearing, and how sure it is.
struct Prediction {
  double azimuth_deg = 0.0;    // true, without the station's known bias
  double variance_deg2 = 0.0;  // of observed minus azimuth: S = H P H' + noise + site
  double range_m = 0.0;
};

class MotionFilter {
 public:
  struct Motion {
    double speed_sigma_m_per_s = 0.0;    // per axis, at the start
    double acceleration_m_per_s2 = 0.0;  // one sigma after one second
  };

  MotionFilter() = default;
  MotionFilter(GeoPoint position, const EnCovariance& covariance, TimePoint at, Motion motion);
  MotionFilter(const MotionState& state, double acceleration_m_per_s2)
      : s_(state), acceleration_m_per_s2_(acceleration_m_per_s2) {}

  /// Carries the state to a later time; an earlier one leaves it as it is.
  /// \param link  takes the step in, if any.
  void advance(TimePoint to, SmoothingLink* link = nullptr);
  [[nodiscard]] Prediction predict(const Bearing& bearing, const SiteErrors& sites) const;
  /// Advances to the bearing's middle and takes it in.
  /// \param gate_sigmas  one farther from the prediction is a false bearing: it changes nothing.
  /// \return surprise() of it: what the hypothesis pays; of a false bearing, that at the gate.
  double update(const Bearing& bearing, double azimuth_deg, const SiteErrors& sites,
                SmoothingLink* link = nullptr,
                double gate_sigmas = std::numeric_limits<double>::infinity());

  /// The same place, from where it may now go anywhere.
  [[nodiscard]] MotionFilter departing(Motion motion) const;
  /// The same state, expected to turn and brake as said from now on.
  [[nodiscard]] MotionFilter turning(double acceleration_m_per_s2) const {
    return {s_, acceleration_m_per_s2};
  }

  [[nodiscard]] const MotionState& state() const { return s_; }
  [[nodiscard]] GeoPoint position() const { return s_.position; }
  [[nodiscard]] EnCovariance covariance() const;
  [[nodiscard]] Velocity velocity() const;
  [[nodiscard]] TimePoint at() const { return s_.at; }
  /// Squared speed over its uncertainty: chi-square with 2 degrees of freedom for one that
  /// stands still. 0 where no speed is possible.
  [[nodiscard]] double speed_chi_square() const;
  /// One sigma along the worst direction.
  [[nodiscard]] double position_sigma_m() const;

  /// For memory.hpp.
  template <typename Visit>
  void each_field(Visit& visit) {
    visit(s_, acceleration_m_per_s2_);
  }

 private:
  struct Look;
  [[nodiscard]] Look look(const Bearing& bearing, double east_m, double north_m,
                          const SiteErrors& sites) const;
  [[nodiscard]] double clock_variance_deg2(const Bearing& bearing, double range_m) const;
  void admit_site(const Bearing& bearing, const SiteErrors& sites);
  void shift(double east_m, double north_m, SmoothingLink* link);

  MotionState s_;
  double acceleration_m_per_s2_ = 0.0;
};

/// -2 ln of the density of a residual, up to a constant: residual^2 / S + ln S.
double surprise(double residual_deg, double variance_deg2);

/// Speed and its sigma: mean and standard deviation of |v|, by the m-distribution with the second
/// and fourth moment of v (M. Nakagami, in Statistical Methods in Radio Wave Propagation, 1960):
/// exact for a speed wholly unknown (Rayleigh's) and for one well known; between them the mean is
/// good to 1 % and the sigma to 5 % for an even spread, 3 % and 12 % for one five times as long as
/// wide.
/// \param spread  covariance of the velocity, (m/s)^2.
Velocity velocity_of(double east_m_per_s, double north_m_per_s, const EnCovariance& spread);

}  // namespace fixwright::track
