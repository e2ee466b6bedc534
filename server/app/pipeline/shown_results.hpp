#pragma once
/// What people have been shown of one channel, so that they are told each change once, with a
/// revision that grows, and are told when something shown turns out not to be.

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "server/app/pipeline/channel_history.hpp"
#include "server/app/pipeline/pipeline.hpp"
#include "server/app/pipeline/shown_lines.hpp"
#include "server/model/decision.hpp"

namespace fixwright::app {

struct ShowContext {
  TimePoint watermark;
  const Redirects& redirects;
  const track::TrackRules& rules;
  /// No revision given so far is higher: for an emitter that a merge brings back.
  std::uint32_t highest_revision;
  /// Nothing earlier than this is admitted any more; TimePoint::max(): nothing at all.
  TimePoint settled;
};

class ShownResults {
 public:
  explicit ShownResults(std::uint32_t first_revision)
      : first_revision_(first_revision), lines_(first_revision) {}

  /// Adds to `out` what differs from what was shown.
  ///
  /// An emitter is shown once the watermark has passed its birth: before that, a bearing on its
  /// way could still give it another identity. Its fixes come at once. Events and track points,
  /// which have no revision, wait until the watermark has passed their transmission. A track point
  /// comes a second time, smoothed, when what was heard after it is final.
  /// Emitters that a person declared one are shown as one.
  void show(const std::vector<HistoryStep>& steps, const ChannelHistory::Present& present,
            const ShowContext& context, PipelineOutput& out);

  /// The final steps are told; what they showed can't change any more.
  /// \param settled  events before it will not be computed again.
  void forget(std::optional<TimePoint> last_final_start, TimePoint settled);

  /// Birth of the first emitter that is not shown yet; TimePoint::max() for none.
  [[nodiscard]] TimePoint next_birth() const { return next_birth_; }
  /// When time alone lets a track be smoothed, as ShowContext::settled; TimePoint::max(): none.
  [[nodiscard]] TimePoint next_smoothing() const { return trails_.next_due(); }

 private:
  using EventKey = std::tuple<EmitterKey, TimePoint, EmitterEventKind>;
  using PointKey = std::pair<EmitterKey, TimePoint>;

  void show_emitters(const std::vector<HistoryStep>& steps, const ChannelHistory::Present& present,
                     const ShowContext& context, PipelineOutput& out);
  void show_emitter(const Emitter& emitter, const ShowContext& context, PipelineOutput& out);
  void note_turn(const Emitter& before, const Emitter& now, const ShowContext& context,
                 PipelineOutput& out);
  void remember_kept(const Redirects& redirects);
  void withdraw_emitters(PipelineOutput& out);
  [[nodiscard]] bool is_turn_of_several(const EmitterEvent& e) const;
  void show_events(const std::vector<EmitterEvent>& events, PipelineOutput& out);
  void show_fixes(const std::vector<HistoryStep>& steps, PipelineOutput& out);
  void show_fix(Fix fix, PipelineOutput& out);
  void show_track_points(const std::vector<HistoryStep>& steps, TimePoint settled,
                         PipelineOutput& out);
  void withdraw_track_points(const std::set<PointKey>& there, std::map<PointKey, TrackPoint>& out);
  void smooth(const std::vector<HistoryStep>& steps, TimePoint settled);
  [[nodiscard]] bool is_shown(EmitterKey key) const { return emitters_.contains(key); }

  std::uint32_t first_revision_;
  std::map<EmitterKey, Emitter> emitters_;
  std::set<EmitterKey> kept_;     // shown for several: they fall silent and return together
  std::set<EmitterKey> told_of_;  // what the last steps told of: it may be told of again
  std::map<FixKey, Fix> fixes_;   // tombstones included
  std::map<EventKey, std::string> events_;
  struct ShownPoint {
    TrackPoint point;
    TimePoint transmission;  // start of the one that it is of
  };
  std::map<PointKey, ShownPoint> track_points_;
  TrackTrails trails_;
  ShownLines lines_;
  TimePoint next_birth_ = TimePoint::max();
};

}  // namespace fixwright::app
