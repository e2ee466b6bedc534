#pragma once
/// When samples fit the array badly: would they fit well, with two elements plugged the other way
/// round?

#include <string>
#include <vector>

#include "station_agent/array/azimuth_estimator.hpp"

namespace fixwright::agent::iq {

struct ElementPair {
  int first = 0;  // from 0
  int second = 0;
  friend bool operator==(const ElementPair&, const ElementPair&) = default;
};

/// The pairs whose exchange explains the look: with it at most a quarter of the misfit is left, or
/// less than 4 degrees. On a circle there may be two: the one that is swapped, and one that with
/// it makes the circle's mirror image; only a transmitter at a known azimuth tells them apart
/// (array/array_order.hpp). Fewer than four elements can't tell at all: nothing.
std::vector<ElementPair> swaps_that_explain(array::AzimuthEstimator& estimator,
                                            const array::SpatialCovariance& covariance,
                                            double misfit_deg);

/// "elements 2 and 5, or 3 and 4", counted from 1; empty for none.
std::string describe(const std::vector<ElementPair>& pairs);

}  // namespace fixwright::agent::iq
