#pragma once
/// A sender's time, as it writes it.

#include <string_view>

#include "server/base/result.hpp"
#include "server/base/time.hpp"
#include "station_agent/source/lines/line_mapping.hpp"

namespace fixwright::agent {

/// Reads all formats but `arrival`. Unix times may have a fraction; digits past the nanosecond
/// are cut. Fails, naming the text and the format, on anything else and outside 1678 to 2261.
Result<TimePoint> parse_sender_time(std::string_view text, TimeFormat format);

}  // namespace fixwright::agent
