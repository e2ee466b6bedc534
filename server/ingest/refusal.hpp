#pragma once
/// Why a bearing was refused for good. The word is the same in log, metric and proto.

#include <array>
#include <string>
#include <string_view>

#include "server/model/ids.hpp"

namespace fixwright::ingest {

enum class RefusalReason {
  sequence_order,     // backwards or twice within the session, 0, or past 2^63 - 1
  rate,               // more bearings than the station may send
  time_range,         // no start time, or one outside the years 1678 to 2261
  clock_error_range,  // not stated, negative, or past an hour
  clock,              // ahead of the server's clock, or too old
  integration_range,  // outside 0 to 60 s
  frequency_range,    // not finite, not above 0, above 300 GHz
  azimuth_range,      // not finite, outside [0, 360)
  sigma_range,        // not finite, outside (0, 90]
  alternative_range,  // more than 8, or one with azimuth or weight out of range
  level_range,        // field strength, level or SNR not finite, level above 0 dBFS
  bandwidth_range,    // not finite, not above 0, above 300 GHz
  label_range,        // longer than 64 bytes, control characters
  channel,            // not in the plan, or it does not fit the frequency
  position,           // of a moving station missing or out of range; of a fixed one present
};
inline constexpr std::array kRefusalReasons{
    RefusalReason::sequence_order,  RefusalReason::rate,
    RefusalReason::time_range,      RefusalReason::clock_error_range,
    RefusalReason::clock,           RefusalReason::integration_range,
    RefusalReason::frequency_range, RefusalReason::azimuth_range,
    RefusalReason::sigma_range,     RefusalReason::alternative_range,
    RefusalReason::level_range,     RefusalReason::bandwidth_range,
    RefusalReason::label_range,     RefusalReason::channel,
    RefusalReason::position};

/// One word, as in the enumeration.
std::string_view to_string(RefusalReason r);

/// A refused bearing counts as handled: the acknowledgement covers it.
struct BearingRefusal {
  BearingKey key;
  RefusalReason reason = RefusalReason::sequence_order;
  std::string message;  // one line: station, sequence, value, rule, what to do
};

}  // namespace fixwright::ingest
