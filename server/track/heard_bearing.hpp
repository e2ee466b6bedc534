#pragma once

#include "server/model/bearing.hpp"

namespace fixwright::track {

/// A bearing with the azimuth that is believed to be the emitter's.
struct HeardBearing {
  const Bearing* bearing = nullptr;
  double azimuth_deg = 0.0;  // as sent
};

}  // namespace fixwright::track
