#include "server/app/pipeline/shown_results.hpp"

#include <algorithm>

#include "server/app/pipeline/fix_rows.hpp"
#include "server/app/pipeline/redirects.hpp"

namespace fixwright::app {

namespace {

TimePoint birth_of(EmitterKey key) { return TimePoint{Duration{key.id}}; }

bool stays(const Redirects& redirects, EmitterKey key) {
  return std::any_of(redirects.begin(), redirects.end(),
                     [&](const auto& r) { return r.second == key; });
}

}  // namespace

void ShownResults::show(const std::vector<HistoryStep>& steps,
                        const ChannelHistory::Present& present, const ShowContext& context,
                        PipelineOutput& out) {
  show_emitters(steps, present, context, out);
  for (const HistoryStep& step : steps) {
    if (step.transmission.state == ResultState::provisional) continue;  // may yet be otherwise
    show_events(step.result.changes.events, out);
  }
  show_events(present.changes.events, out);
  show_fixes(steps, out);
  show_track_points(steps, context.settled, out);
  lines_.show(steps, present, context.rules, out);
}

void ShownResults::show_emitters(const std::vector<HistoryStep>& steps,
                                 const ChannelHistory::Present& present, const ShowContext& context,
                                 PipelineOutput& out) {
  told_of_.clear();
  next_birth_ = TimePoint::max();
  std::vector<Emitter> all;
  const auto add = [&](const Emitter& e) { all.push_back(e); };
  for (const HistoryStep& step : steps) {
    std::for_each(step.result.changes.ended.begin(), step.result.changes.ended.end(), add);
  }
  std::for_each(present.changes.ended.begin(), present.changes.ended.end(), add);
  for (const auto& record : present.tracks.emitters) add(record.shown);
  if (!context.redirects.empty()) {
    all = show_as_one(std::move(all), context.redirects, context.rules.silent_s);
  }
  for (const Emitter& e : all) {
    told_of_.insert(e.key);
    if (is_shown(e.key) || birth_of(e.key) <= context.watermark) {
      show_emitter(e, context, out);
    } else {
      next_birth_ = std::min(next_birth_, birth_of(e.key));
    }
  }
  withdraw_emitters(out);
  remember_kept(context.redirects);
}

void ShownResults::remember_kept(const Redirects& redirects) {
  kept_.clear();
  for (const auto& [gone, kept] : redirects) {
    if (told_of_.contains(gone)) kept_.insert(kept);
  }
}

/// An emitter that is shown for several falls silent with the last of them.
void ShownResults::note_turn(const Emitter& before, const Emitter& now, const ShowContext& context,
                             PipelineOutput& out) {
  const auto from = before.state;
  if (from == EmitterState::confirmed && now.state == EmitterState::silent) {
    out.events.push_back({now.key, now.last_heard + from_seconds(context.rules.silent_s),
                          EmitterEventKind::silent,
                          "not heard since " + format_rfc3339(now.last_heard)});
  }
  if (from == EmitterState::silent && now.state == EmitterState::confirmed) {
    out.events.push_back({now.key, now.last_heard, EmitterEventKind::returned, "heard again"});
  }
}

void ShownResults::show_emitter(const Emitter& emitter, const ShowContext& context,
                                PipelineOutput& out) {
  const auto [at, is_new] = emitters_.try_emplace(emitter.key, emitter);
  const bool for_several = kept_.contains(emitter.key);
  if (is_new) {
    const bool brought_back = stays(context.redirects, emitter.key);
    at->second.revision =
        brought_back ? std::max(first_revision_, context.highest_revision) : first_revision_;
  } else {
    if (same_content(at->second, emitter)) return;
    if (for_several) note_turn(at->second, emitter, context, out);
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
    if (kept_.contains(key)) continue;  // a merge was taken back: its decision tells of that
    show_events({{key, emitter.last_heard, EmitterEventKind::retired,
                  "withdrawn: late bearings changed what was heard"}},
                out);
  }
}

/// note_turn() tells of those.
bool ShownResults::is_turn_of_several(const EmitterEvent& e) const {
  const bool turn = e.kind == EmitterEventKind::silent || e.kind == EmitterEventKind::returned ||
                    (e.kind == EmitterEventKind::retired &&
                     emitters_.at(e.emitter).state != EmitterState::retired);
  return turn && kept_.contains(e.emitter);
}

void ShownResults::show_events(const std::vector<EmitterEvent>& events, PipelineOutput& out) {
  for (const EmitterEvent& e : events) {
    if (!is_shown(e.emitter) || is_turn_of_several(e)) continue;
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
void ShownResults::show_track_points(const std::vector<HistoryStep>& steps, TimePoint settled,
                                     PipelineOutput& out) {
  std::map<PointKey, TrackPoint> newest;
  std::set<PointKey> there;
  for (const HistoryStep& step : steps) {
    if (step.transmission.state == ResultState::provisional) continue;
    for (const TrackStep& t : step.result.track) {
      const TrackPoint& p = t.point;
      if (!is_shown(p.emitter)) continue;
      there.insert({p.emitter, p.at});
      const ShownPoint shown{p, step.transmission.key.start};
      const auto [at, is_new] = track_points_.try_emplace({p.emitter, p.at}, shown);
      if (!is_new && at->second.point.position == p.position) continue;
      at->second = shown;
      newest.insert_or_assign({p.emitter, p.at}, p);
    }
  }
  withdraw_track_points(there, newest);
  smooth(steps, settled);
  for (const TrackPoint& p : trails_.take()) {
    if (is_shown(p.emitter)) newest.insert_or_assign({p.emitter, p.at}, p);
  }
  for (const auto& [key, p] : newest) out.track_points.push_back(p);
}

void ShownResults::withdraw_track_points(const std::set<PointKey>& there,
                                         std::map<PointKey, TrackPoint>& out) {
  for (auto it = track_points_.begin(); it != track_points_.end();) {
    if (there.contains(it->first)) {
      ++it;
      continue;
    }
    TrackPoint gone = it->second.point;
    gone.withdrawn = true;
    out.insert_or_assign(it->first, gone);
    it = track_points_.erase(it);
  }
}

/// Final steps are shown once, so they enter their trails once.
void ShownResults::smooth(const std::vector<HistoryStep>& steps, TimePoint settled) {
  for (const HistoryStep& step : steps) {
    if (step.transmission.state != ResultState::final) {
      settled = std::min(settled, step.transmission.key.start);
      break;
    }
    for (const TrackStep& t : step.result.track) trails_.add(t);
  }
  if (settled == TimePoint::max()) {
    trails_.finish();
  } else {
    trails_.let_time_pass(settled);
  }
}

void ShownResults::forget(std::optional<TimePoint> last_final_start, TimePoint settled) {
  if (last_final_start) {
    std::erase_if(fixes_, [&](const auto& shown) {
      return shown.first.transmission.start <= *last_final_start;
    });
    std::erase_if(track_points_, [&](const auto& shown) {
      return shown.second.transmission <= *last_final_start;
    });
  }
  lines_.forget(settled);
  std::erase_if(events_, [&](const auto& shown) { return std::get<1>(shown.first) < settled; });
  std::erase_if(emitters_, [&](const auto& shown) {
    return shown.second.state == EmitterState::retired && !told_of_.contains(shown.first) &&
           birth_of(shown.first) < settled && shown.second.last_heard < settled;
  });
}

}  // namespace fixwright::app
