#include "server/align/segmenter.hpp"

#include <algorithm>

namespace fixwright::align {

namespace {

struct Limits {
  Duration gap;
  Duration max_length;
};

/// Whichever comes first: the cut by length, or the end of the pause that is still bridged.
TimePoint closing_time(const Segment& s, const Limits& limits) {
  const TimePoint after_gap = s.end + limits.gap + Duration{1};  // a pause of just the gap joins
  return std::min(after_gap, s.start + limits.max_length);
}

Segment begin_segment(std::size_t index, const Bearing& b, const Limits& limits) {
  Segment s{index, index + 1, b.start, b.end(), {}};
  s.closes_at = closing_time(s, limits);
  return s;
}

}  // namespace

std::vector<Segment> cut_into_segments(const std::vector<Bearing>& bearings,
                                       const AlignRules& rules) {
  const Limits limits{from_seconds(rules.gap_s), from_seconds(rules.max_length_s)};
  std::vector<Segment> segments;
  for (std::size_t i = 0; i < bearings.size(); ++i) {
    if (segments.empty() || bearings[i].start >= segments.back().closes_at) {
      segments.push_back(begin_segment(i, bearings[i], limits));
      continue;
    }
    Segment& open = segments.back();
    open.last = i + 1;
    open.end = std::max(open.end, bearings[i].end());
    open.closes_at = closing_time(open, limits);
  }
  return segments;
}

}  // namespace fixwright::align
