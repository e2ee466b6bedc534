#pragma once
/// What a fix was computed from, set up again from the fix. Inside `locate` only.

#include <span>
#include <vector>

#include "server/locate/modes.hpp"
#include "server/locate/region.hpp"

namespace fixwright::locate {

/// Keep where it is made: lines point into sights.
struct Solution {
  std::vector<Sight> sights;
  std::vector<Line> lines;
  Estimate estimate;

  Solution() = default;
  Solution(Solution&&) = default;
  Solution& operator=(Solution&&) = default;
  Solution(const Solution&) = delete;
  Solution& operator=(const Solution&) = delete;
  ~Solution() = default;
};

Solution restore(std::span<const PooledBearing> bearings, const CrossFix& fix,
                 const LocateRules& rules);

ConfidenceRegion region_of(std::span<const Line> lines, const Estimate& solution, double growth,
                           double probability, const LocateRules& rules);

}  // namespace fixwright::locate
