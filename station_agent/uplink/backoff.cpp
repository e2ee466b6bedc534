#include "station_agent/uplink/backoff.hpp"

#include <algorithm>

namespace fixwright::agent {

Duration Backoff::next() {
  Duration ceiling = rule_.base;
  for (int i = 0; i < attempt_ && ceiling < rule_.cap; ++i) ceiling *= 2;
  ++attempt_;
  return from_seconds(uniform_() * seconds(std::min(ceiling, rule_.cap)));
}

Duration Backoff::spread(Duration wait) const {
  return wait + from_seconds(0.25 * uniform_() * seconds(wait));
}

}  // namespace fixwright::agent
