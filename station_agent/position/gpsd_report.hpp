#pragma once
/// Reports of gpsd, as gpsd_json(5) describes them.

#include <string_view>

#include "server/base/result.hpp"
#include "station_agent/position/nav_report.hpp"

namespace fixwright::agent {

/// What is sent to gpsd to make it report.
inline constexpr std::string_view kGpsdWatch = "?WATCH={\"enable\":true,\"json\":true};\n";

/// Of a TPV object position, time, speed and track, of an ATT object the heading; everything else,
/// and a TPV without a fix, gives an empty report. Refused with one line: text that is no JSON
/// object, a field of another type or out of its range.
///
/// gpsd does not say what share of errors its epx and epy cover; older manuals say 95 %. Taken as
/// one sigma they are never too small.
Result<NavReport> read_gpsd(std::string_view line);

}  // namespace fixwright::agent
