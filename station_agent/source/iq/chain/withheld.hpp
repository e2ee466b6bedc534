#pragma once
/// Why a look at an active channel made no bearing, in words for the host.

#include <string>
#include <vector>

#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/detect/look.hpp"
#include "station_agent/source/iq/chain/swap_search.hpp"

namespace fixwright::agent::iq {

struct Withheld {
  std::string matter;  // for ComplaintBook; empty: nothing is wrong, the signal was too weak
  std::string line;    // what, what to do
};

/// \pre the look has a faulty element or the estimate is not accepted.
Withheld why_withheld(const detect::ChannelLook& look, const array::Estimate& estimate);
/// \pre there is a pair.
Withheld withheld_for_order(const std::vector<ElementPair>& swaps);

}  // namespace fixwright::agent::iq
