#pragma once

#include <map>
#include <string>

#include "server/base/geo.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

/// A receiving site that takes bearings.
struct Station {
  StationId id = 0;
  std::string name;  // [A-Z0-9-], 1 to 32 characters, unique
  GeoPoint position;
  double antenna_height_m = 0.0;  // above ground, >= 0
  /// What no number of bearings averages away: the site's own error of azimuth, one standard
  /// deviation, degrees, >= 0. Below 0.15 only where bearings were made, not received.
  double site_sigma_deg = 1.0;
  /// Subtracted from each azimuth before use; from an accepted calibration.
  double bias_deg = 0.0;
};

/// The stations by id. Of a station that is not here nothing is known but what its bearings say:
/// locate::pool() tells how their sigma is then taken.
using Stations = std::map<StationId, Station>;

/// How good a station's clock is, by its own word.
enum class ClockState { synchronised, holdover, unsynchronised };

/// "I live, I have sent everything up to here, my clock is this good."
struct Heartbeat {
  StationId station = 0;
  TimePoint received_at;    // by the server's clock: for idleness only
  TimePoint low_watermark;  // no live bearing starts before this any more
  Duration clock_error{};   // bound, >= 0
  ClockState clock_state = ClockState::unsynchronised;
};

}  // namespace fixwright
