#pragma once
/// Eigen's view of MotionState; for the .cpp files of this folder.

#include <Eigen/Dense>

#include "server/track/motion_state.hpp"

namespace fixwright::track {

constexpr int kMaxStateSize = static_cast<int>(MotionState::kMaxSize);

/// Up to kMaxStateSize each way, without allocation.
using StateMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor,
                                  kMaxStateSize, kMaxStateSize>;
using StateVector = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMaxStateSize, 1>;
using StateStride = Eigen::OuterStride<kMaxStateSize>;
using StateMap = Eigen::Map<StateMatrix, 0, StateStride>;
using ConstStateMap = Eigen::Map<const StateMatrix, 0, StateStride>;

inline StateMap covariance_map(MotionState& s) {
  const auto n = static_cast<Eigen::Index>(s.size());
  return {s.covariance.data(), n, n, StateStride()};
}
inline ConstStateMap covariance_map(const MotionState& s) {
  const auto n = static_cast<Eigen::Index>(s.size());
  return {s.covariance.data(), n, n, StateStride()};
}

}  // namespace fixwright::track
