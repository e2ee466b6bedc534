#pragma once
/// A channel's emitters as a fold over its transmissions, oldest first.
///
/// The state before each transmission that can still change is kept, so that a change refolds
/// from there on and never from the beginning. What is final has been folded for good; the same
/// function folded it, so live and final results can't differ.

#include <optional>
#include <vector>

#include "server/app/pipeline/fold_context.hpp"
#include "server/app/pipeline/transmission_fold.hpp"
#include "server/model/transmission.hpp"
#include "server/track/emitter_record.hpp"

namespace fixwright::app {

/// A transmission with what it gave.
struct HistoryStep {
  Transmission transmission;
  FoldResult result;
};

class ChannelHistory {
 public:
  /// Takes in what align says has changed and refolds from the first change of content.
  /// \param changed  in the order of their start; withdrawn ones leave.
  void apply(const std::vector<Transmission>& changed, const FoldContext& context);

  /// Steps that are pending, and those that have become final since the last forget_final().
  [[nodiscard]] const std::vector<HistoryStep>& steps() const { return steps_; }
  /// \return the start of the last that was forgotten since the beginning, if any was.
  std::optional<TimePoint> forget_final();

  /// The emitters after what is final and forgotten, and the start of the last bearing in them.
  struct Settled {
    const track::ChannelTracks& tracks;
    std::optional<TimePoint> through;
  };
  [[nodiscard]] Settled settled() const {
    return {before_.empty() ? after_ : before_.front(), final_through_};
  }
  /// Goes on from emitters that were settled once. \pre no step yet.
  void restore(track::ChannelTracks tracks, TimePoint through) {
    after_ = std::move(tracks);
    final_through_ = through;
  }

  /// The emitters after the last step.
  [[nodiscard]] const track::ChannelTracks& tracks() const { return after_; }
  /// The emitters with time gone on to `now`, and what that changed since the last step.
  struct Present {
    track::ChannelTracks tracks;
    track::Changes changes;
  };
  [[nodiscard]] Present at(TimePoint now, const track::TrackRules& rules) const;
  /// When time alone changes something next.
  [[nodiscard]] TimePoint next_due(const track::TrackRules& rules) const;

  /// Makes the passing of time part of the state, for a channel with no steps.
  /// \param now  nothing earlier is admitted any more.
  void settle_time(TimePoint now, const track::TrackRules& rules);

 private:
  [[nodiscard]] std::size_t place_of(const TransmissionKey& key) const;
  bool place(const Transmission& transmission);
  void refold(std::size_t first, const FoldContext& context);

  std::vector<HistoryStep> steps_;            // by start
  std::vector<track::ChannelTracks> before_;  // the state before each step
  track::ChannelTracks after_;
  std::optional<TimePoint> last_final_start_;
  std::optional<TimePoint> final_through_;
};

}  // namespace fixwright::app
