#pragma once
/// Real sites as stations: what each says of each published fix, written as a direction finder
/// would write it, and what the history must then hold.

#include <map>
#include <string>
#include <vector>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"

namespace fixwright::e2e {

/// One azimuth of one emitter at one station.
struct SiteBearing {
  std::string station;
  GeoPoint position;
  double azimuth_deg = 0.0;  // in the frame that the station's mapping names
  double sigma_deg = 0.0;
};

/// One emitter of known place, on a frequency of its own, and who hears it.
struct SiteEmitter {
  std::string name;
  GeoPoint position;
  double frequency_hz = 0.0;
  std::vector<SiteBearing> bearings;
};

/// tests/published/data/navaid_fixes.csv: radials are magnetic, as printed.
std::vector<SiteEmitter> navaid_emitters();
/// tests/published/data/airway_crossings.csv: true azimuths along each leg from its first end.
std::vector<SiteEmitter> airway_emitters();
/// tests/published/data/geodesic_crossings.csv: true azimuths as given there.
std::vector<SiteEmitter> geodesic_emitters();

/// Each station's lines: time, frequency in MHz, azimuth, sigma; header first.
std::map<std::string, std::string> station_lines(const std::vector<SiteEmitter>& emitters,
                                                 TimePoint at);
std::map<std::string, GeoPoint> station_positions(const std::vector<SiteEmitter>& emitters);

}  // namespace fixwright::e2e
