#pragma once

#include "server/base/time.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

/// How one station saw one still emitter in one hour: one value, however many bearings, for those
/// of one hour share their surroundings and are no independent witnesses.
struct AzimuthHour {
  StationId station = 0;
  EmitterKey emitter;
  TimePoint hour;            // its begin, UTC
  double azimuth_deg = 0.0;  // median as sent, no bias subtracted, [0, 360)
};

}  // namespace fixwright
