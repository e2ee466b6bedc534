#pragma once
/// Cuts a whole log into transmissions, for commands that have all bearings at once. The server's
/// `align` does it as bearings come.

#include <vector>

#include "server/model/transmission.hpp"

namespace fixwright::tools {

struct TransmissionRules {
  double frequency_tolerance_hz = 1000.0;  // of one transmission, either side of its mean; > 0
  double gap_s = 2.0;                      // a longer pause ends a transmission; > 0
};

/// In the order of their first bearing, each with its bearings in EventOrder. channel is given by
/// frequency, 1 and up: transmissions whose mean frequencies lie within the tolerance of the one
/// below share a channel; bearings carry it too. Depends on the set of bearings, not on its order.
std::vector<Transmission> cut_transmissions(std::vector<Bearing> bearings,
                                            const TransmissionRules& rules);

/// Mean frequency of bearings. \pre not empty.
double mean_frequency_hz(const std::vector<Bearing>& bearings);

}  // namespace fixwright::tools
