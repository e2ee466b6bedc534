#pragma once

#include <vector>

#include "server/model/bearing.hpp"

namespace fixwright {

/// How settled a transmission, and all that is computed from it, is.
enum class ResultState {
  provisional,  // before the watermark: bearings may be on their way
  revised,      // the watermark has passed; late bearings may still change it
  final,        // nothing that is still admitted live can change it
  withdrawn,    // it was shown, and is no more: a tombstone
};

/// The bearings of one stretch of activity on a channel, of every station, in EventOrder.
struct Transmission {
  TransmissionKey key;
  TimePoint end;  // of the last bearing
  ResultState state = ResultState::provisional;
  std::uint32_t revision = 1;  // grows with each change of content or state
  std::vector<Bearing> bearings;
};

}  // namespace fixwright
