#pragma once

#include "server/model/emitter.hpp"

namespace fixwright {

/// One point of a moving emitter's track.
struct TrackPoint {
  EmitterKey emitter;
  TimePoint at;
  GeoPoint position;
  EnCovariance covariance;
  Velocity velocity;
};

}  // namespace fixwright
