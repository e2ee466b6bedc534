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
  bool withdrawn = false;  // late bearings changed what was heard: the emitter was not there then
};

}  // namespace fixwright
