#include "server/app/pipeline/shown_lines.hpp"

#include <utility>

#include "server/track/lone_lines.hpp"

namespace fixwright::app {

namespace {

/// All that is to be seen now: those that ended, then those that wait.
std::map<BearingOnlyKey, BearingOnly> lines_now(const std::vector<HistoryStep>& steps,
                                                const ChannelHistory::Present& present,
                                                const track::TrackRules& rules) {
  std::map<BearingOnlyKey, BearingOnly> now;
  const auto add = [&](const BearingOnly& line) { now.insert_or_assign(line.key, line); };
  for (const HistoryStep& step : steps) {
    for (const BearingOnly& line : step.result.changes.ended_lines) add(line);
  }
  for (const BearingOnly& line : present.changes.ended_lines) add(line);
  for (const auto& line : present.tracks.lines) {
    if (track::worth_showing(line, rules)) add(line.shown);
  }
  return now;
}

}  // namespace

void ShownLines::show(const std::vector<HistoryStep>& steps, const ChannelHistory::Present& present,
                      const track::TrackRules& rules, PipelineOutput& out) {
  const auto now = lines_now(steps, present, rules);
  told_of_.clear();
  for (const auto& [key, line] : now) {
    told_of_.insert(key);
    show_line(line, out);
  }
  for (auto& [key, line] : shown_) {
    if (line.state != BearingOnlyState::waiting || now.contains(key)) continue;
    line.state = BearingOnlyState::ended;
    line.revision += 1;
    out.bearing_only.push_back(line);
  }
}

void ShownLines::show_line(BearingOnly line, PipelineOutput& out) {
  const auto [at, is_new] = shown_.try_emplace(line.key, line);
  line.revision = is_new ? first_revision_ : at->second.revision;
  if (!is_new && at->second == line) return;
  if (!is_new) line.revision += 1;
  at->second = line;
  out.bearing_only.push_back(line);
}

void ShownLines::forget(TimePoint settled) {
  std::erase_if(shown_, [&](const auto& shown) {
    const BearingOnly& line = shown.second;
    return line.state != BearingOnlyState::waiting && !told_of_.contains(line.key) &&
           line.last_heard < settled;
  });
}

}  // namespace fixwright::app
