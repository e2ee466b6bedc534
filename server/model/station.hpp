#pragma once

#include <map>
#include <string>
#include <vector>

#include "server/base/geo.hpp"
#include "server/model/calibration.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

/// A receiving site that takes bearings.
struct Station {
  StationId id = 0;
  std::string name;               // [A-Z0-9-], 1 to 32 characters, unique
  GeoPoint position;              // of one that moves: where it is kept
  double antenna_height_m = 0.0;  // above ground, >= 0
  /// What no number of bearings averages away: the site's own error of azimuth, one standard
  /// deviation, degrees, >= 0. Below 0.15 only where bearings were made, not received.
  double site_sigma_deg = 1.0;
  /// Subtracted from each azimuth before use, unless an accepted calibration covers the bearing.
  double bias_deg = 0.0;
  /// A vehicle or hand-carried station: each of its bearings says where it was.
  bool moves = false;
  /// Accepted ones, in the order of their acceptance: the last that covers a bearing counts.
  std::vector<Calibration> calibrations = {};

  [[nodiscard]] double bias_of(const Bearing& b) const {
    for (auto c = calibrations.rbegin(); c != calibrations.rend(); ++c) {
      if (c->covers(b)) return c->bias_deg;
    }
    return bias_deg;
  }
};

/// Places of a moving station nearer to one another than this share one error of the site: the
/// same walls reflect. About the distance at which the spread of azimuths in a town is no longer
/// the same (Rep. ITU-R M.2135, correlation distances of azimuth spread, 15 to 50 m; from memory).
inline constexpr double kMovingSite_m = 50.0;

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
  std::uint64_t waiting = 0;  // bearings on the station's disk, not yet acknowledged
  std::uint64_t dropped = 0;  // by its full disk since its stream began
};

}  // namespace fixwright
