#pragma once
/// What people have been shown of a channel's emitters that one station alone hears.

#include <cstdint>
#include <map>
#include <set>

#include "server/app/pipeline/channel_history.hpp"
#include "server/app/pipeline/pipeline.hpp"

namespace fixwright::app {

class ShownLines {
 public:
  explicit ShownLines(std::uint32_t first_revision) : first_revision_(first_revision) {}

  /// Adds to `out` what differs from what was shown; lines that late bearings took away end.
  void show(const std::vector<HistoryStep>& steps, const ChannelHistory::Present& present,
            const track::TrackRules& rules, PipelineOutput& out);

  /// \param settled  what was heard before it can't be told otherwise any more.
  void forget(TimePoint settled);

 private:
  void show_line(BearingOnly line, PipelineOutput& out);

  std::uint32_t first_revision_;
  std::map<BearingOnlyKey, BearingOnly> shown_;
  std::set<BearingOnlyKey> told_of_;  // what the last steps told of: it may be told of again
};

}  // namespace fixwright::app
