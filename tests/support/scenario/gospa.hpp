#pragma once
/// How far a set of estimates is from the truth, in metres.
///
/// GOSPA with p = 2, alpha = 2 (A. S. Rahmathullah, A. F. Garcia-Fernandez, L. Svensson,
/// "Generalized optimal sub-pattern assignment metric", FUSION 2017, eq. 1 and proposition 1):
/// the square root of the sum of squared distances of the pairs, and c^2 / 2 for each truth
/// without an estimate and each estimate without a truth, at the best pairing.

#include <vector>

#include "server/base/geo.hpp"

namespace fixwright::scenario {

struct Gospa {
  double total_m = 0.0;
  int missed = 0;
  int false_ones = 0;
};

Gospa gospa(const std::vector<GeoPoint>& truth, const std::vector<GeoPoint>& estimates,
            double cutoff_m = 2000.0);

}  // namespace fixwright::scenario
