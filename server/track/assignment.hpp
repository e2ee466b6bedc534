#pragma once

#include <cstddef>
#include <vector>

namespace fixwright::track {

/// A bearing that an emitter could claim, and what that would cost.
struct Candidate {
  int bearing = 0;
  int emitter = 0;
  double cost = 0.0;
};

/// Which candidates are chosen: each bearing and each emitter at most once, as many as can be,
/// and of those choices the one that costs least in all.
/// \return indices into candidates, rising. Equal costs: the earlier candidates win.
/// Exhaustive up to 12 candidates, beyond that the cheapest pair first; one instant of one
/// station rarely has more than four.
std::vector<std::size_t> cheapest_assignment(const std::vector<Candidate>& candidates);

}  // namespace fixwright::track
