#include "station_agent/source/iq/chain/swap_search.hpp"

#include <fmt/core.h>

#include <algorithm>

namespace fixwright::agent::iq {

namespace {

constexpr int kFewestForSwaps = 4;
constexpr double kSoundMisfit_deg = 4.0;

array::SpatialCovariance exchanged(array::SpatialCovariance covariance, int first, int second) {
  covariance.matrix.row(first).swap(covariance.matrix.row(second));
  covariance.matrix.col(first).swap(covariance.matrix.col(second));
  std::swap(covariance.noise_power(first), covariance.noise_power(second));
  return covariance;
}

}  // namespace

std::vector<ElementPair> swaps_that_explain(array::AzimuthEstimator& estimator,
                                            const array::SpatialCovariance& covariance,
                                            double misfit_deg) {
  std::vector<ElementPair> pairs;
  const int elements = static_cast<int>(covariance.matrix.rows());
  if (elements < kFewestForSwaps) return pairs;
  const double explained_deg = std::max(kSoundMisfit_deg, misfit_deg / 4.0);
  for (int first = 0; first < elements; ++first) {
    for (int second = first + 1; second < elements; ++second) {
      const array::Estimate e = estimator.estimate(exchanged(covariance, first, second));
      if (e.accepted() && e.misfit_deg < explained_deg) pairs.push_back({first, second});
    }
  }
  return pairs;
}

std::string describe(const std::vector<ElementPair>& pairs) {
  std::string text;
  for (const ElementPair& p : pairs) {
    text +=
        fmt::format("{}{} and {}", text.empty() ? "elements " : ", or ", p.first + 1, p.second + 1);
  }
  return text;
}

}  // namespace fixwright::agent::iq
