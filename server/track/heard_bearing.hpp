#pragma once

#include "server/model/bearing.hpp"

namespace fixwright::track {

/// A bearing with the azimuth that is believed to be the emitter's.
struct HeardBearing {
  const Bearing* bearing = nullptr;
  double azimuth_deg = 0.0;  // as sent
  double probability = 1.0;  // that it is

  [[nodiscard]] bool likely() const { return probability >= 0.5; }
};

}  // namespace fixwright::track
