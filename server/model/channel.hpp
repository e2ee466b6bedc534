#pragma once

#include <string>

#include "server/model/ids.hpp"

namespace fixwright {

/// A slice of spectrum in which one transmission at a time is usual.
struct Channel {
  ChannelId id = 0;
  std::string name;
  double frequency_hz = 0.0;  // centre
  double bandwidth_hz = 0.0;  // width, > 0
};

}  // namespace fixwright
