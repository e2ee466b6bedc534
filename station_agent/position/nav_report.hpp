#pragma once
/// What one sentence of a navigation receiver says, whatever its language.

#include <chrono>
#include <optional>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"

namespace fixwright::agent {

/// In our units and frames; what a sentence does not say is absent. An empty report says nothing
/// that is of use here.
struct NavReport {
  std::optional<Duration> time_of_day;  // UTC, [0, 86400 s]
  std::optional<std::chrono::sys_days> date;
  std::optional<GeoPoint> position;
  std::optional<double> height_m;       // of the antenna above the ellipsoid
  std::optional<double> hdop;           // > 0
  std::optional<double> sigma_m;        // of the position, one axis, > 0, where the receiver says
  std::optional<double> speed_m_per_s;  // over ground, >= 0
  std::optional<double> course_deg;     // over ground, from true north, [0, 360)
  std::optional<double> heading_deg;    // of the bow, from true north, [0, 360)
  std::optional<double> magnetic_heading_deg;  // deviation applied, [0, 360)
  std::optional<double> variation_deg;         // east positive: true = magnetic + variation
};

}  // namespace fixwright::agent
