#pragma once
/// Sentences of NMEA 0183, of any talker. Pure: any bytes may be given.

#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"
#include "station_agent/position/nav_report.hpp"

namespace fixwright::agent {

struct NmeaSentence {
  std::string talker;               // "GP", "HE"; "P" of a maker's own sentence
  std::string type;                 // "GGA"; of a maker's own all of its address
  std::vector<std::string> fields;  // after the address, may be empty
};

/// Nmea's frame: `$`, an address, fields between commas, `*` and the exclusive or of all bytes
/// between `$` and `*` as two hex digits (IEC 61162-1). Refused with one line: another frame, no
/// or a wrong checksum, more than 255 bytes.
Result<NmeaSentence> parse_sentence(std::string_view line);

/// What it says: of GGA, GLL, RMC and GST the position, its time and quality; of RMC and VTG
/// course and speed; of HDT, THS and HDG the heading. A receiver without a fix, one that
/// simulates and every other type give an empty report. Refused: a field out of its range.
Result<NavReport> read_sentence(const NmeaSentence& sentence);

}  // namespace fixwright::agent
