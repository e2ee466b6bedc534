#include "tests/support/scenario/gospa.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "server/geodesy/geodesic.hpp"

namespace fixwright::scenario {

namespace {

using Costs = std::vector<std::vector<double>>;

/// Hungarian algorithm with potentials, O(n^3) (H. W. Kuhn 1955; J. Munkres 1957), square.
/// \return the column of each row.
std::vector<std::size_t> best_pairing(const Costs& cost) {
  const std::size_t n = cost.size();
  std::vector<double> u(n + 1, 0.0);
  std::vector<double> v(n + 1, 0.0);
  std::vector<std::size_t> row_of(n + 1, 0);
  std::vector<std::size_t> way(n + 1, 0);
  for (std::size_t i = 1; i <= n; ++i) {
    row_of[0] = i;
    std::size_t j0 = 0;
    std::vector<double> least(n + 1, std::numeric_limits<double>::infinity());
    std::vector<bool> used(n + 1, false);
    do {
      used[j0] = true;
      double delta = std::numeric_limits<double>::infinity();
      std::size_t j1 = 0;
      for (std::size_t j = 1; j <= n; ++j) {
        if (used[j]) continue;
        const double c = cost[row_of[j0] - 1][j - 1] - u[row_of[j0]] - v[j];
        if (c < least[j]) {
          least[j] = c;
          way[j] = j0;
        }
        if (least[j] < delta) {
          delta = least[j];
          j1 = j;
        }
      }
      for (std::size_t j = 0; j <= n; ++j) {
        (used[j] ? u[row_of[j]] : least[j]) += used[j] ? delta : -delta;
        if (used[j]) v[j] -= delta;
      }
      j0 = j1;
    } while (row_of[j0] != 0);
    for (; j0 != 0; j0 = way[j0]) row_of[j0] = row_of[way[j0]];
  }
  std::vector<std::size_t> column(n, 0);
  for (std::size_t j = 1; j <= n; ++j) column[row_of[j] - 1] = j - 1;
  return column;
}

}  // namespace

Gospa gospa(const std::vector<GeoPoint>& truth, const std::vector<GeoPoint>& estimates,
            double cutoff_m) {
  // Square with blanks: a pair past the cutoff costs as much as both alone.
  const double alone = 0.5 * cutoff_m * cutoff_m;
  const std::size_t n = truth.size() + estimates.size();
  Costs cost(n, std::vector<double>(n, 0.0));
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      const bool real_truth = i < truth.size();
      const bool real_estimate = j < estimates.size();
      if (real_truth && real_estimate) {
        const double d = geodesy::distance_m(truth[i], estimates[j]);
        cost[i][j] = std::min(d * d, 2.0 * alone);
      } else if (real_truth || real_estimate) {
        cost[i][j] = alone;
      }
    }
  }
  Gospa score;
  double sum = 0.0;
  const auto column = n == 0 ? std::vector<std::size_t>{} : best_pairing(cost);
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t j = column[i];
    sum += cost[i][j];
    const bool far = cost[i][j] >= 2.0 * alone;
    if (i < truth.size() && (j >= estimates.size() || far)) score.missed += 1;
    if (j < estimates.size() && (i >= truth.size() || far)) score.false_ones += 1;
  }
  score.total_m = std::sqrt(sum);
  return score;
}

}  // namespace fixwright::scenario
