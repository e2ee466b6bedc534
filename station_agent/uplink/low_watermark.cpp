#include "station_agent/uplink/low_watermark.hpp"

#include <algorithm>

namespace fixwright::agent {

TimePoint LowWatermark::advance(TimePoint source, std::optional<TimePoint> oldest_unsent,
                                TimePoint now) {
  TimePoint mark = oldest_unsent ? std::min(source, *oldest_unsent) : source;
  mark = std::max(mark, now - hold_);
  if (last_) mark = std::max(mark, *last_);
  last_ = mark;
  return mark;
}

}  // namespace fixwright::agent
