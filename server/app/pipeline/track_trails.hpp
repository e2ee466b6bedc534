#pragma once
/// Tracks told a second time, by what was heard after each point.

#include <map>
#include <optional>
#include <vector>

#include "server/model/track.hpp"
#include "server/track/motion_state.hpp"
#include "server/track/smoothing_link.hpp"

namespace fixwright::app {

/// A point of a track as the filter had it, and what ties it to the point before.
struct TrackStep {
  TrackPoint point;
  track::MotionState filtered;
  std::optional<track::SmoothingLink> since_last;  // nothing: a track begins here
};

/// Holds the final steps of the latest minutes of each moving emitter, and gives their points
/// again, smoothed, once at least kLag of what came after each is final too: a fixed-lag smoother
/// (J. B. Moore, Automatica 9 (1973) 163) that works in blocks, so that a point costs two links
/// whatever the lag. What comes out depends on the steps alone, not on when they were added.
class TrackTrails {
 public:
  /// A mover's future says nothing of its past any more after so long.
  static constexpr Duration kLag = std::chrono::seconds{60};

  /// The next final step of its emitter.
  void add(TrackStep step);
  /// Emitters that will not be heard within kLag of their last step are done with.
  /// \param heard_until  no final step will come that is earlier.
  void let_time_pass(TimePoint heard_until);
  /// No more steps will come at all.
  void finish();

  /// What became known since the last call.
  [[nodiscard]] std::vector<TrackPoint> take();

  /// When time alone lets the next emitter go; TimePoint::max() for none.
  [[nodiscard]] TimePoint next_due() const;

 private:
  using Trail = std::vector<TrackStep>;

  void smooth(Trail& trail, TimePoint until);

  std::map<EmitterKey, Trail> trails_;
  std::vector<TrackPoint> smoothed_;
};

}  // namespace fixwright::app
