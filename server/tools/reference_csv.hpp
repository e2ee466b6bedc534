#pragma once
/// Transmitters whose place is known, for calibration: CSV with a header.
///
///     name,latitude,longitude,frequency_hz,position_sigma_m
///     LANTERN-BEACON,41.4312,-150.4481,145912500,5
///
/// name: not empty, unique. latitude, longitude: degrees, WGS84. frequency_hz: (0, 1e12].
/// position_sigma_m: one axis, 0.1 to 1e5; the column may be left out: 10.

#include <istream>
#include <ostream>
#include <string>
#include <vector>

#include "server/base/geo.hpp"
#include "server/base/result.hpp"

namespace fixwright::tools {

struct ReferenceTransmitter {
  std::string name;
  GeoPoint position;
  double frequency_hz = 0.0;
  double position_sigma_m = 10.0;
};

/// Fails with one line on the first thing that is wrong: a calibration with a reference missing,
/// or in the wrong place, is worse than none.
Result<std::vector<ReferenceTransmitter>> read_reference_csv(std::istream& in,
                                                             const std::string& name);

}  // namespace fixwright::tools
