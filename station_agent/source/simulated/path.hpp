#pragma once
/// Where a simulated emitter is.

#include <vector>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"

namespace fixwright::agent {

enum class PathEnd {
  turn_back,     // along the same waypoints
  close_circle,  // from the last to the first
  stop,          // and stay
};

/// Waypoints joined by geodesics of WGS84, travelled at one speed.
class Path {
 public:
  /// One waypoint, or speed 0, stands still at the first. \pre not empty; speed >= 0.
  Path(std::vector<GeoPoint> waypoints, double speed_m_per_s, PathEnd end);

  [[nodiscard]] GeoPoint at(Duration since_start) const;
  [[nodiscard]] bool moves() const { return speed_m_per_s_ > 0.0 && length_m_ > 0.0; }
  [[nodiscard]] double length_m() const { return length_m_; }

 private:
  struct Leg {
    GeoPoint from;
    double azimuth_deg;
    double length_m;
  };
  [[nodiscard]] double along_m(double travelled_m) const;

  std::vector<GeoPoint> waypoints_;
  double speed_m_per_s_;
  PathEnd end_;
  std::vector<Leg> legs_;
  double length_m_ = 0.0;
};

}  // namespace fixwright::agent
