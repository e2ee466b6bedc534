#pragma once
/// Where a station's bearings come from, whatever makes them.

#include <optional>
#include <string>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright::agent {

struct SourceAlternative {
  double azimuth_deg = 0.0;  // from true north, [0, 360)
  double weight = 0.0;       // likelihood relative to the main azimuth, (0, 1]
};

/// Where a station that moves was when it took a bearing.
struct SourcePosition {
  double latitude_deg = 0.0;         // WGS84, [-90, 90]
  double longitude_deg = 0.0;        // [-180, 180)
  std::optional<double> height_m{};  // of the antenna above the ellipsoid
  double sigma_m = 0.0;              // one standard deviation on each axis, >= 0
};

/// A bearing as its source gives it: in our units and frames, checked for range, not yet
/// numbered. The fields mean what fixwright.station.v1.Bearing says.
struct SourceBearing {
  TimePoint start;                                // of the integration interval
  Duration integration{};                         // 0 to 60 s
  double frequency_hz = 0.0;                      // > 0, at most 3e11
  double azimuth_deg = 0.0;                       // from true north, [0, 360); see from_heading
  double sigma_deg = 0.0;                         // one standard deviation, (0, 90]
  std::vector<SourceAlternative> alternatives{};  // at most 8
  std::optional<double> field_strength_dbuv_per_m{};
  std::optional<double> level_dbfs{};  // <= 0
  std::optional<double> snr_db{};
  std::optional<double> bandwidth_hz{};  // > 0
  std::optional<std::string> label{};    // at most 64 bytes of UTF-8
  bool overload = false;
  bool uncalibrated = false;
  bool simulated = false;
  /// Azimuths are clockwise from where the vehicle's bow points; the agent adds the heading.
  bool from_heading = false;
  std::optional<SourcePosition> position{};  // of a station that moves; filled in by the agent
};

/// What a source had to say in one read.
struct SourceBatch {
  std::vector<SourceBearing> bearings;
  std::vector<std::string> complaints;  // one line each: what was not a bearing, and why
  /// Where to go on after a restart, in the source's own words; kept beside the bearings in one
  /// transaction. Absent: no change.
  std::optional<std::string> mark;
  /// No later read gives a live bearing that starts before this.
  TimePoint low_watermark;
  bool ended = false;  // nothing will follow
};

class Source {
 public:
  Source() = default;
  Source(const Source&) = delete;
  Source& operator=(const Source&) = delete;
  virtual ~Source() = default;
  /// Waits at most `patience` for something to say. Called from one thread.
  virtual SourceBatch read(Duration patience) = 0;
};

}  // namespace fixwright::agent
