#include "server/app/pipeline/track_trails.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

#include "server/track/motion_filter.hpp"

namespace fixwright::app {

namespace {

TrackPoint point_of(const TrackPoint& filtered, const track::MotionState& smoothed) {
  const track::MotionFilter as_filter(smoothed, 0.0);
  TrackPoint p = filtered;
  p.position = as_filter.position();
  p.covariance = as_filter.covariance();
  p.velocity = as_filter.velocity();
  return p;
}

}  // namespace

void TrackTrails::add(TrackStep step) {
  Trail& trail = trails_[step.point.emitter];
  const bool goes_on =
      !trail.empty() && step.since_last && step.point.at - trail.back().point.at <= kLag;
  if (!goes_on) smooth(trail, TimePoint::max());
  trail.push_back(std::move(step));
  const TimePoint last = trail.back().point.at;
  if (last - trail.front().point.at >= 2 * kLag) smooth(trail, last - kLag);
}

void TrackTrails::let_time_pass(TimePoint heard_until) {
  for (auto at = trails_.begin(); at != trails_.end();) {
    if (at->second.back().point.at + kLag < heard_until) {
      smooth(at->second, TimePoint::max());
      at = trails_.erase(at);
    } else {
      ++at;
    }
  }
}

void TrackTrails::finish() {
  for (auto& [emitter, trail] : trails_) smooth(trail, TimePoint::max());
  trails_.clear();
}

std::vector<TrackPoint> TrackTrails::take() { return std::exchange(smoothed_, {}); }

TimePoint TrackTrails::next_due() const {
  TimePoint due = TimePoint::max();
  for (const auto& [emitter, trail] : trails_) due = std::min(due, trail.back().point.at + kLag);
  return due;
}

/// Gives the points up to `until` by all that the trail holds, and lets go of them.
void TrackTrails::smooth(Trail& trail, TimePoint until) {
  if (trail.empty()) return;
  const track::MotionState& end = trail.back().filtered;
  std::vector<TrackPoint> backwards;
  track::SmoothingLink to_end(end);
  for (auto step = trail.rbegin(); step != trail.rend(); ++step) {
    if (step != trail.rbegin()) to_end = std::prev(step)->since_last->then(to_end);
    if (step->point.at > until) continue;
    backwards.push_back(point_of(step->point, to_end.smoothed(step->filtered, end)));
  }
  smoothed_.insert(smoothed_.end(), backwards.rbegin(), backwards.rend());
  std::erase_if(trail, [&](const TrackStep& s) { return s.point.at <= until; });
}

}  // namespace fixwright::app
