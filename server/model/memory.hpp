#pragma once

#include <string>

#include "server/model/ids.hpp"

namespace fixwright {

/// What is remembered of a channel's emitters over a stop of the server: not their bearings, but
/// what these came to.
struct ChannelMemory {
  ChannelId channel = 0;
  /// Bearings of the channel up to this start are in it; later ones have to be heard again.
  TimePoint through;
  std::string state;  // bytes, as server/track/memory.hpp writes them; empty: nothing to remember
};

}  // namespace fixwright
