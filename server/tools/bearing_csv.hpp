#pragma once
/// A person's log of bearings: CSV with a header, columns in any order, others ignored.
///
///     time,station,latitude,longitude,frequency_hz,azimuth_deg,sigma_deg
///     2031-05-04T10:15:02.25Z,MOSS-RIDGE,41.33,-150.02,145600000,231.5,2
///
/// time: RFC 3339, of the bearing. station: 1 to 64 characters. latitude, longitude: degrees,
/// WGS84. frequency_hz: (0, 1e12]. azimuth_deg: from TRUE north, [0, 360). sigma_deg: one standard
/// deviation, (0, 90].

#include <istream>
#include <ostream>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/bearing.hpp"
#include "server/model/station.hpp"

namespace fixwright::tools {

struct BearingCsv {
  /// In the file's order. key: station from its name's place in the alphabet (1 and up), stream 1,
  /// sequence the row's number. station_moves where a station stands at more than one place.
  std::vector<Bearing> bearings;
  std::vector<std::string> station_names;  // of station ids 1, 2, ...
  std::size_t skipped = 0;                 // rows that could not be used
};

/// Reads to the end. A row that breaks a rule is skipped, with one line on `complaints`:
/// "log.csv:7: azimuth_deg 361: must be in [0, 360)". After 100 such lines they are only counted.
/// \return an Error, one line, when the header is missing or lacks a column.
Result<BearingCsv> read_bearing_csv(std::istream& in, const std::string& name,
                                    std::ostream& complaints);

/// The same from a file; "-" is standard input.
Result<BearingCsv> read_bearing_file(const std::string& path, std::ostream& complaints);

}  // namespace fixwright::tools
