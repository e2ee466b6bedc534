#pragma once
/// Where an emitter is and how it moves, updated bearing by bearing with the exact measurement.
///
/// Iterated extended Kalman filter (B. M. Bell, F. W. Cathey, IEEE Trans. Automatic Control 38
/// (1993) 294) over east, north and their rates, nearly constant velocity with white
/// acceleration (Y. Bar-Shalom, X. R. Li, T. Kirubarajan, Estimation with Applications to
/// Tracking and Navigation, 2001, 6.2.2). The state is kept relative to its own mean, so no
/// frame is ever left behind. With no speed and no acceleration it is the filter of a place.

#include <array>
#include <optional>

#include "server/model/bearing.hpp"
#include "server/model/emitter.hpp"
#include "server/track/site_errors.hpp"

namespace fixwright::track {

/// What a hypothesis expects of a bearing, and how sure it is.
struct Prediction {
  double azimuth_deg = 0.0;    // true, without the station's bias
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

  /// Carries the state to a later time; an earlier one leaves it as it is.
  void advance(TimePoint to);
  [[nodiscard]] Prediction predict(const Bearing& bearing, const SiteErrors& sites) const;
  /// Advances to the bearing's middle and takes it in.
  void update(const Bearing& bearing, double azimuth_deg, const SiteErrors& sites);

  [[nodiscard]] GeoPoint position() const { return position_; }
  [[nodiscard]] EnCovariance covariance() const;
  [[nodiscard]] Velocity velocity() const;
  [[nodiscard]] TimePoint at() const { return at_; }
  /// Squared speed over its uncertainty: chi-square with 2 degrees of freedom for one that
  /// stands still. 0 where no speed is possible.
  [[nodiscard]] double speed_chi_square() const;
  /// One sigma along the worst direction.
  [[nodiscard]] double position_sigma_m() const;

 private:
  [[nodiscard]] double noise_deg2(const Bearing& bearing, double range_m,
                                  const SiteErrors& sites) const;
  void shift(double east_m, double north_m);

  GeoPoint position_;
  TimePoint at_;
  std::array<double, 2> speed_m_per_s_{};  // east, north
  std::array<double, 16> p_{};             // covariance, row by row: e, n, e rate, n rate
  double acceleration_m_per_s2_ = 0.0;
};

/// -2 ln of the density of a residual, up to a constant: residual^2 / S + ln S.
double surprise(double residual_deg, double variance_deg2);

}  // namespace fixwright::track
