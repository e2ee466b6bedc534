#pragma once
/// Vectors and matrices over the elements of one array. Their size is bounded, so that none of
/// them touches the heap.

#include <Eigen/Core>
#include <complex>

namespace fixwright::agent::array {

/// Most elements an array may have.
inline constexpr int kMaxElements = 16;
inline constexpr int kMinElements = 2;

inline constexpr double kSpeedOfLight_m_s = 299'792'458.0;  // exact, by the SI's definition

using Complex = std::complex<double>;
using ElementVector = Eigen::Matrix<Complex, Eigen::Dynamic, 1, Eigen::ColMajor, kMaxElements, 1>;
using ElementReals = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMaxElements, 1>;
using ElementMatrix = Eigen::Matrix<Complex, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor,
                                    kMaxElements, kMaxElements>;

}  // namespace fixwright::agent::array
