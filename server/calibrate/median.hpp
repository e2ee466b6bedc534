#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace fixwright::calibrate {

inline constexpr double kMadToSigma = 1.4826;    // of a normal distribution: 1 / Phi^-1(3/4)
inline constexpr double kMedianToMean = 1.2533;  // sigma of a median to that of a mean, sqrt(pi/2)

/// \pre not empty.
inline double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::ranges::nth_element(values, middle);
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2.0;
}

}  // namespace fixwright::calibrate
