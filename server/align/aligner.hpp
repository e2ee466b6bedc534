#pragma once
/// Sorts what arrives in any order into the transmissions of each channel, and says how settled
/// each is. Holds only what can still change: the last `lateness` of each channel.

#include <cstdint>
#include <map>
#include <set>
#include <vector>

#include "server/align/rules.hpp"
#include "server/align/segmenter.hpp"
#include "server/align/watermark.hpp"
#include "server/model/bearing.hpp"
#include "server/model/station.hpp"
#include "server/model/transmission.hpp"

namespace fixwright::align {

/// What changed on one channel. Transmissions are in the order of their start.
struct ChannelChange {
  ChannelId channel = 0;
  /// New, changed in content, or changed in state; a withdrawn one has no bearings. A final one
  /// is handed out once, and forgotten here.
  std::vector<Transmission> transmissions;
};

struct AlignerOutput {
  std::vector<ChannelChange> channels;  // rising
  std::vector<Bearing> late;            // past the lateness, in the order of arrival
  TimePoint watermark;
};

class Aligner {
 public:
  explicit Aligner(const AlignRules& rules);

  /// A bearing that is here already is ignored; one past the lateness is set aside in `late`.
  void bearing(const Bearing& bearing);
  void heartbeat(const Heartbeat& heartbeat) { watermark_.heartbeat(heartbeat); }
  void tick(TimePoint server_now) { watermark_.tick(server_now); }
  void finish() { watermark_.finish(); }

  [[nodiscard]] AlignerOutput take();
  [[nodiscard]] TimePoint watermark() const { return watermark_.value(); }
  /// Bearings held, of all channels.
  [[nodiscard]] std::size_t pending() const;

 private:
  struct Shown {
    std::uint32_t revision = 0;
    ResultState state = ResultState::provisional;
    std::vector<BearingKey> content;
  };
  struct PendingChannel {
    std::vector<Bearing> bearings;            // in EventOrder
    std::map<TimePoint, Shown> shown;         // by start, tombstones included
    TimePoint dirty_from = TimePoint::max();  // transmissions that close before it are unchanged
    TimePoint next_change;                    // the watermark at which a state changes
  };

  [[nodiscard]] TimePoint final_before() const;
  [[nodiscard]] ResultState state_of(const Segment& segment) const;
  ChannelChange take_channel(ChannelId id, PendingChannel& channel);
  void withdraw_vanished(ChannelId id, PendingChannel& channel, const std::set<TimePoint>& present,
                         ChannelChange& change) const;
  void forget_final(PendingChannel& channel, const std::vector<Segment>& segments) const;
  [[nodiscard]] TimePoint next_change(const std::vector<Segment>& segments) const;

  AlignRules rules_;
  Duration lateness_;
  Watermark watermark_;
  std::map<ChannelId, PendingChannel> channels_;
  std::vector<Bearing> late_;
};

}  // namespace fixwright::align
