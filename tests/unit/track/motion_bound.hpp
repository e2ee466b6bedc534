#pragma once
/// The least mean square error that any estimator of a vehicle's path can have.

#include <Eigen/Dense>
#include <cmath>
#include <vector>

#include "server/base/angle.hpp"

namespace fixwright::track::testing {

/// The posterior Cramer-Rao bound of a linear motion with Gaussian acceleration and bearings at
/// their own times: P. Tichavsky, C. H. Muravchik, A. Nehorai, IEEE Trans. Signal Processing 46
/// (1998) 1386, eq. 34 for the information of each bearing averaged over the vehicle's paths:
///     J' = (Q + F J^-1 F')^-1 + E[h h'] / sigma^2.
/// Backwards the same matrices give the bound of a smoother: the diagonal blocks of the inverse of
/// the whole path's information, by Rauch, Tung and Striebel's recursion.
class MotionBound {
 public:
  /// A flat plane, for the truth of a few kilometres; metres, m/s per axis at the start, and one
  /// constant error a site.
  MotionBound(double place_sigma_m, double speed_sigma_m_per_s, double acceleration_m_per_s2,
              int sites, double site_sigma_deg)
      : q_(acceleration_m_per_s2 * acceleration_m_per_s2),
        p_(Eigen::MatrixXd::Identity(4 + sites, 4 + sites)) {
    p_.topLeftCorner<2, 2>() *= place_sigma_m * place_sigma_m;
    p_.block<2, 2>(2, 2) *= speed_sigma_m_per_s * speed_sigma_m_per_s;
    p_.bottomRightCorner(sites, sites) *= site_sigma_deg * site_sigma_deg;
  }

  void advance(double dt) {
    Eigen::MatrixXd f = Eigen::MatrixXd::Identity(p_.rows(), p_.cols());
    f(0, 2) = f(1, 3) = dt;
    const Eigen::MatrixXd before = p_;
    p_ = f * p_ * f.transpose();
    for (int a = 0; a < 2; ++a) {
      p_(a, a) += q_ * dt * dt * dt / 3.0;
      p_(a, a + 2) += q_ * dt * dt / 2.0;
      p_(a + 2, a) += q_ * dt * dt / 2.0;
      p_(a + 2, a + 2) += q_ * dt;
    }
    steps_.push_back({before, f, p_});
  }

  /// \param information  E[h h'] / sigma^2 of one bearing.
  void hear(const Eigen::MatrixXd& information) {
    p_ = (p_.inverse() + information).inverse().eval();
  }

  [[nodiscard]] double place_m2() const { return p_(0, 0) + p_(1, 1); }

  /// Before each advance() and at the end: bound of the place with every bearing known, m^2.
  [[nodiscard]] std::vector<double> smoothed_m2() const {
    std::vector<double> all(steps_.size() + 1);
    Eigen::MatrixXd later = p_;
    all.back() = place_m2();
    for (std::size_t i = steps_.size(); i-- > 0;) {
      const Step& s = steps_[i];
      const Eigen::MatrixXd gain = s.before * s.f.transpose() * s.predicted.inverse();
      later = (s.before + gain * (later - s.predicted) * gain.transpose()).eval();
      all[i] = later(0, 0) + later(1, 1);
    }
    return all;
  }

 private:
  struct Step {
    Eigen::MatrixXd before;
    Eigen::MatrixXd f;
    Eigen::MatrixXd predicted;
  };

  double q_;
  Eigen::MatrixXd p_;
  std::vector<Step> steps_;
};

}  // namespace fixwright::track::testing
