#include "station_agent/source/simulated/path.hpp"

#include <GeographicLib/Geodesic.hpp>
#include <algorithm>
#include <cmath>

namespace fixwright::agent {

using GeographicLib::Geodesic;

Path::Path(std::vector<GeoPoint> waypoints, double speed_m_per_s, PathEnd end)
    : waypoints_(std::move(waypoints)), speed_m_per_s_(speed_m_per_s), end_(end) {
  if (end_ == PathEnd::close_circle) waypoints_.push_back(waypoints_.front());
  for (std::size_t i = 0; i + 1 < waypoints_.size(); ++i) {
    const GeoPoint& a = waypoints_[i];
    const GeoPoint& b = waypoints_[i + 1];
    double s12_m = 0.0;
    double azi1_deg = 0.0;
    double azi2_deg = 0.0;
    Geodesic::WGS84().Inverse(a.latitude_deg, a.longitude_deg, b.latitude_deg, b.longitude_deg,
                              s12_m, azi1_deg, azi2_deg);
    legs_.push_back({a, azi1_deg, s12_m});
    length_m_ += s12_m;
  }
}

/// Distance from the first waypoint, [0, length].
double Path::along_m(double travelled_m) const {
  switch (end_) {
    case PathEnd::stop:
      return std::clamp(travelled_m, 0.0, length_m_);
    case PathEnd::close_circle: {
      const double rest = std::fmod(travelled_m, length_m_);
      return rest < 0.0 ? rest + length_m_ : rest;
    }
    case PathEnd::turn_back:
      break;
  }
  const double rest = std::fmod(std::abs(travelled_m), 2.0 * length_m_);
  return rest <= length_m_ ? rest : 2.0 * length_m_ - rest;
}

GeoPoint Path::at(Duration since_start) const {
  if (!moves()) return waypoints_.front();
  double rest_m = along_m(speed_m_per_s_ * seconds(since_start));
  for (const Leg& leg : legs_) {
    if (rest_m > leg.length_m && &leg != &legs_.back()) {
      rest_m -= leg.length_m;
      continue;
    }
    GeoPoint p;
    Geodesic::WGS84().Direct(leg.from.latitude_deg, leg.from.longitude_deg, leg.azimuth_deg, rest_m,
                             p.latitude_deg, p.longitude_deg);
    return p;
  }
  return waypoints_.back();
}

}  // namespace fixwright::agent
