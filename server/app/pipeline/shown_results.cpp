#include "server/app/pipeline/shown_results.hpp"

#include <algorithm>

#include "server/app/pipeline/fix_rows.hpp"

namespace fixwright::app {

namespace {

TimePoint birth_of(EmitterKey key) { return TimePoint{Duration{key.id}}; }

}  // namespace

void ShownResults::show(const std::vector<HistoryStep>& steps,
                        const ChannelHistory::Present& present, TimePoint watermark,
                        PipelineOutput& out) {
  show_emitters(steps, present, watermark, out);
  for (const HistoryStep& step : steps) {
    if (step.transmission.state == ResultState::provisional) continue;  // may yet be otherwise
    show_events(step.result.changes.events, out);
  }
  show_events(present.changes.events, out);
  show_fixes(steps, out);
  for (const HistoryStep& step : steps) show_track_points(step, out);
}

void ShownResults::show_emitters(const std::vector<HistoryStep>& steps,
                                 const ChannelHistory::Present& present, TimePoint watermark,
                                 PipelineOutput& out) {
  told_of_.clear();
  next_birth_ = TimePoint::max();
  const auto consider = [&](const Emitter& e) {
    told_of_.insert(e.key);
    if (is_shown(e.key) || birth_of(e.key) <= watermark) {
      show_emitter(e, out);
    } else {
      next_birth_ = std::min(next_birth_, birth_of(e.key));
    }
  };
  for (const HistoryStep& step : steps) {
    for (const Emitter& ended : step.result.changes.ended) consider(ended);
  }
  for (const Emitter& ended : present.changes.ended) consider(ended);
  for (const auto& record : present.tracks.emitters) consider(record.shown);
  withdraw_emitters(out);
}

void ShownResults::show_emitter(const Emitter& emitter, PipelineOutput& out) {
  const auto [at, is_new] = emitters_.try_emplace(emitter.key, emitter);
  if (is_new) {
    at->second.revision = first_revision_;
  } else {
    if (same_content(at->second, emitter)) return;
    const std::uint32_t revision = at->second.revision + 1;
    at->second = emitter;
    at->second.revision = revision;
  }
  out.emitters.push_back(at->second);
}

/// Shown live, but late bearings changed what was heard and it never was.
void ShownResults::withdraw_emitters(PipelineOutput& out) {
  for (auto& [key, emitter] : emitters_) {
    if (told_of_.contains(key) || emitter.state == EmitterState::retired) continue;
    emitter.state = EmitterState::retired;
    emitter.revision += 1;
    out.emitters.push_back(emitter);
    show_events({{key, emitter.last_heard, EmitterEventKind::retired,
                  "withdrawn: late bearings changed what was heard"}},
                out);
  }
}

void ShownResults::show_events(const std::vector<EmitterEvent>& events, PipelineOutput& out) {
  for (const EmitterEvent& e : events) {
    if (!is_shown(e.emitter)) continue;
    const auto [at, is_new] = events_.try_emplace({e.emitter, e.at, e.kind}, e.evidence);
    if (!is_new && at->second == e.evidence) continue;
    at->second = e.evidence;
    out.events.push_back(e);
  }
}

void ShownResults::show_fixes(const std::vector<HistoryStep>& steps, PipelineOutput& out) {
  std::set<FixKey> there;
  for (const HistoryStep& step : steps) {
    for (const Fix& fix : step.result.fixes) {
      there.insert(fix.key);
      Fix row = fix;
      row.state = step.transmission.state;
      if (row.emitter && !is_shown(*row.emitter)) row.emitter.reset();
      show_fix(std::move(row), out);
    }
  }
  for (const auto& [key, shown] : fixes_) {
    if (there.contains(key) || shown.state == ResultState::withdrawn) continue;
    Fix tombstone = shown;
    tombstone.state = ResultState::withdrawn;
    tombstone.bearings.clear();
    tombstone.emitter.reset();
    show_fix(std::move(tombstone), out);
  }
}

void ShownResults::show_fix(Fix fix, PipelineOutput& out) {
  const auto [at, is_new] = fixes_.try_emplace(fix.key, fix);
  if (!is_new && same_content(at->second, fix)) return;
  fix.revision = is_new ? first_revision_ : at->second.revision + 1;
  at->second = std::move(fix);
  out.fixes.push_back(at->second);
}

/// A track point has no revision, so it waits for the watermark.
void ShownResults::show_track_points(const HistoryStep& step, PipelineOutput& out) {
  if (step.transmission.state == ResultState::provisional) return;
  for (const TrackPoint& p : step.result.track_points) {
    if (!is_shown(p.emitter)) continue;
    const auto [at, is_new] = track_points_.try_emplace({p.emitter, p.at}, p.position);
    if (!is_new && at->second == p.position) continue;
    at->second = p.position;
    out.track_points.push_back(p);
  }
}

void ShownResults::forget(std::optional<TimePoint> last_final_start, TimePoint settled) {
  if (last_final_start) {
    std::erase_if(fixes_, [&](const auto& shown) {
      return shown.first.transmission.start <= *last_final_start;
    });
    std::erase_if(track_points_,
                  [&](const auto& shown) { return shown.first.second < *last_final_start; });
  }
  std::erase_if(events_, [&](const auto& shown) { return std::get<1>(shown.first) < settled; });
  std::erase_if(emitters_, [&](const auto& shown) {
    return shown.second.state == EmitterState::retired && !told_of_.contains(shown.first) &&
           birth_of(shown.first) < settled && shown.second.last_heard < settled;
  });
}

}  // namespace fixwright::app
