#pragma once
/// All that is remembered of one emitter: a value, of a size that does not grow with its life.

#include <optional>
#include <vector>

#include "server/model/bearing_only.hpp"
#include "server/model/emitter.hpp"
#include "server/track/bearing_sums.hpp"
#include "server/track/habits.hpp"
#include "server/track/motion_filter.hpp"
#include "server/track/scatter.hpp"
#include "server/track/smoothing_link.hpp"
#include "server/track/steady_azimuths.hpp"

namespace fixwright::track {

struct EmitterRecord {
  Emitter shown;     // as people see it; its fix is accepted, always
  BearingSums sums;  // at its present place; what a still emitter's fix is made of
  /// The same bearings under three hypotheses: at rest in a place, moving, or seen by each station
  /// at a constant azimuth of its own. The first two share the site's errors, so that their
  /// likelihoods compare.
  MotionFilter resting;
  MotionFilter moving;
  SteadyAzimuths steady;
  double moving_log_ratio = 0.0;        // ln(likelihood moving / resting), clamped
  double moving_over_steady_log = 0.0;  // ln(likelihood moving / steady), clamped
  TimePoint place_since;                // of `sums`
  std::uint32_t transmissions = 0;
  /// Of transmissions that two stations heard: one alone may be a false bearing.
  struct Surely {
    TimePoint first;
    TimePoint last;
    Duration longest_pause{};
    std::uint32_t count = 0;
  } surely;
  Habits habits;
  Scatter scatter;                    // of its looks round its place
  std::uint32_t merge_from_look = 0;  // just split: not one with another before
  /// Others of the channel that a station heard at the same instant: never the same emitter.
  std::vector<EmitterKey> distinct_from;
  /// Of a moving one: what `moving` went through since the last point of its track.
  std::optional<SmoothingLink> since_point = {};

  [[nodiscard]] bool believed() const {
    return shown.state == EmitterState::confirmed || shown.state == EmitterState::silent;
  }
};

/// What one station heard again and again from one direction, and nobody else.
struct LoneLine {
  BearingOnly shown;    // as people see it; its state is `waiting`, always
  double weight = 0.0;  // sum of 1 / noise variance of its bearings, deg^-2
};

/// A channel's emitters, by key. A value: copying it is a checkpoint.
struct ChannelTracks {
  std::vector<EmitterRecord> emitters;
  std::vector<LoneLine> lines = {};  // in the order in which they began
};

}  // namespace fixwright::track
