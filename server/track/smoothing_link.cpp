#include "server/track/smoothing_link.hpp"

#include <cmath>

#include "server/track/sight_line.hpp"
#include "server/track/state_matrix.hpp"

namespace fixwright::track {

namespace {

template <typename Data>
StateMap view(Data& data, std::size_t rows, std::size_t columns) {
  return {data.data(), static_cast<Eigen::Index>(rows), static_cast<Eigen::Index>(columns),
          StateStride()};
}

template <typename Data>
ConstStateMap const_view(const Data& data, std::size_t rows, std::size_t columns) {
  return {data.data(), static_cast<Eigen::Index>(rows), static_cast<Eigen::Index>(columns),
          StateStride()};
}

template <typename Data>
Eigen::Map<StateVector> parts(Data& data, std::size_t size) {
  return Eigen::Map<StateVector>(data.data(), static_cast<Eigen::Index>(size));
}

StateVector shift_of(const std::array<double, MotionState::kMaxSize>& shift, std::size_t size) {
  return Eigen::Map<const StateVector>(shift.data(), static_cast<Eigen::Index>(size));
}

}  // namespace

SmoothingLink::SmoothingLink(const MotionState& from) : before_(from.size()), after_(from.size()) {
  view(gain_, before_, after_).setIdentity();
}

/// G = P F' (F P F' + Q)^-1; what the later state leaves open is P - G (F P F' + Q) G'.
void SmoothingLink::advanced(const MotionState& before, const MotionState& after, double dt_s) {
  const auto p = covariance_map(before);
  StateMatrix cross = p;  // P F'
  cross.col(0) += dt_s * p.col(2);
  cross.col(1) += dt_s * p.col(3);
  const StateMatrix later = covariance_map(after);
  const StateMatrix step = later.ldlt().solve(cross.transpose()).transpose();
  const StateMatrix open = p - step * cross.transpose();
  auto gain = view(gain_, before_, after_);
  auto spread = view(spread_, before_, before_);
  spread += (gain * open * gain.transpose()).eval();
  gain = (gain * step).eval();
}

void SmoothingLink::moved(const double* by, std::size_t size) {
  const Eigen::Map<const StateVector> x(by, static_cast<Eigen::Index>(size));
  parts(shift_, before_) += view(gain_, before_, after_) * x;
}

void SmoothingLink::turned(double rad) {
  auto gain = view(gain_, before_, after_);
  const double c = std::cos(rad);
  const double s = std::sin(rad);
  for (int e = 0; e < 4; e += 2) {
    const StateVector east = gain.col(e);
    gain.col(e) = c * east + s * gain.col(e + 1);
    gain.col(e + 1) = c * gain.col(e + 1) - s * east;
  }
}

void SmoothingLink::admitted_site() {
  ++after_;
  view(gain_, before_, after_).rightCols(1).setZero();
}

SmoothingLink SmoothingLink::then(const SmoothingLink& later) const {
  SmoothingLink joined;
  joined.before_ = before_;
  joined.after_ = later.after_;
  const auto gain = const_view(gain_, before_, after_);
  parts(joined.shift_, before_) =
      shift_of(shift_, before_) + gain * shift_of(later.shift_, later.before_);
  view(joined.gain_, before_, later.after_) =
      gain * const_view(later.gain_, later.before_, later.after_);
  view(joined.spread_, before_, before_) =
      const_view(spread_, before_, before_) +
      gain * const_view(later.spread_, later.before_, later.before_) * gain.transpose();
  return joined;
}

MotionState SmoothingLink::smoothed(const MotionState& filtered, const MotionState& end) const {
  MotionState s = filtered;
  const auto gain = const_view(gain_, before_, after_);
  const StateMatrix spread =
      const_view(spread_, before_, before_) + gain * covariance_map(end) * gain.transpose();
  covariance_map(s) = 0.5 * (spread + spread.transpose());
  s.position = step_from(filtered.position, shift_[0], shift_[1]);
  s.speed_m_per_s[0] += shift_[2];
  s.speed_m_per_s[1] += shift_[3];
  for (std::size_t i = 0; i < s.sites; ++i) {
    s.site_error_deg[i] += shift_[MotionState::kMoving + i];
  }
  return s;
}

}  // namespace fixwright::track
