#include "server/app/pipeline/transmission_fold.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "server/app/pipeline/fix_rows.hpp"
#include "server/app/pipeline/share.hpp"
#include "server/base/angle.hpp"
#include "server/locate/cross_fix.hpp"
#include "server/locate/pool.hpp"
#include "server/track/birth.hpp"
#include "server/track/duplicates.hpp"
#include "server/track/lone_lines.hpp"
#include "server/track/motion_choice.hpp"
#include "server/track/relocation.hpp"
#include "server/track/split.hpp"

namespace fixwright::app {

namespace {

using track::ChannelTracks;
using track::Claim;
using track::EmitterRecord;
using track::HeardBearing;
using track::kNobody;
using track::Share;

class TransmissionFold {
 public:
  TransmissionFold(ChannelTracks& tracks, const Transmission& transmission,
                   const FoldContext& context)
      : tracks_(tracks), t_(transmission), context_(context), rules_(context.rules.track) {}

  FoldResult run() {
    track::let_time_pass(tracks_, t_.key.start, rules_, result_.changes);
    shared_ = share_bearings(tracks_, t_, context_);
    track::learn_habits(tracks_, shared_.explained);
    collect_claims();
    attach_known_groups();
    make_fixes_of_known();
    hear_all();
    make_fixes_of_free_groups();
    split();
    retire_moved();
    merge();
    keep_lines();
    return std::move(result_);
  }

 private:
  void collect_claims();
  void attach_known_groups();
  void make_fixes_of_known();
  [[nodiscard]] std::vector<HeardBearing> heard_by(int emitter) const;
  void hear_all();
  void settle(EmitterRecord& emitter);
  void solve_place(EmitterRecord& emitter) const;
  void make_fixes_of_free_groups();
  void split();
  void retire_moved();
  void merge();
  void keep_lines();

  [[nodiscard]] bool belongs(const Part& part) const;
  [[nodiscard]] track::Candidacy candidacy(const FreeGroup& group) const;
  [[nodiscard]] std::vector<Part> set_aside_for(const EmitterRecord& emitter);
  /// Of an emitter born here.
  [[nodiscard]] EmitterKey identity(std::int64_t ordinal) const {
    return context_.identity({t_.key.channel, t_.key.start.time_since_epoch().count() + ordinal});
  }
  std::int32_t next_ordinal() { return static_cast<std::int32_t>(result_.fixes.size()); }

  ChannelTracks& tracks_;
  const Transmission& t_;
  const FoldContext& context_;
  const track::TrackRules& rules_;
  FoldResult result_;
  Sharing shared_;
  std::map<std::size_t, Indices> heard_;  // by emitter: bearings it claimed or was given
};

void TransmissionFold::collect_claims() {
  track::note_distinct(tracks_, t_.bearings, shared_.claims);
  for (std::size_t i = 0; i < shared_.claims.size(); ++i) {
    if (shared_.claims[i].emitter == kNobody) continue;
    heard_[static_cast<std::size_t>(shared_.claims[i].emitter)].push_back(i);
  }
}

/// A station's bearings enter a cross-fix as their mean; one far from the others is not the
/// emitter's, though the mean was used.
bool TransmissionFold::belongs(const Part& part) const {
  const double variance = context_.sites.variance_deg2(t_.bearings[part.index]);
  const double gate = rules_.gate_sigmas * rules_.gate_sigmas * variance;
  return part.used && part.residual_deg * part.residual_deg <= gate;
}

track::Candidacy TransmissionFold::candidacy(const FreeGroup& group) const {
  track::Candidacy c;
  c.fix = group.fix;
  c.stations = group.stations;
  for (const Part& p : group.parts) {
    if (belongs(p)) c.heard.push_back({&t_.bearings[p.index], p.azimuth_deg, 1.0});
  }
  const bool nothing_left = c.heard.size() == group.parts.size();
  c.alone = heard_.empty() && shared_.groups.size() == 1 && nothing_left;
  return c;
}

/// A group where a known emitter stands is that emitter's: its bearings missed the gate one by
/// one, their cross-fix does not.
void TransmissionFold::attach_known_groups() {
  for (auto group = shared_.groups.begin(); group != shared_.groups.end();) {
    const int known = group->fix.accepted() ? track::known_at(tracks_, candidacy(*group),
                                                              shared_.claims, t_.bearings, rules_)
                                            : kNobody;
    if (known == kNobody) {
      ++group;
      continue;
    }
    Indices& mine = heard_[static_cast<std::size_t>(known)];
    for (const Part& p : group->parts) {
      if (!belongs(p)) continue;
      shared_.claims[p.index] = Claim::of(known, p.azimuth_deg);
      mine.push_back(p.index);
    }
    std::sort(mine.begin(), mine.end());
    group = shared_.groups.erase(group);
  }
}

/// Where one emitter alone was heard, what is left over is its reflections or noise: shown with
/// its fix, set aside.
std::vector<Part> TransmissionFold::set_aside_for(const EmitterRecord& emitter) {
  if (heard_.size() != 1 || shared_.groups.size() != 1) return {};
  if (shared_.groups.front().fix.accepted()) return {};
  std::vector<Part> aside = std::move(shared_.groups.front().parts);
  shared_.groups.clear();
  for (Part& p : aside) {
    const Bearing& b = t_.bearings[p.index];
    const auto expected = track::predict(emitter, b, context_.sites);
    p.used = false;
    p.residual_deg = wrap_180(b.azimuth_deg - context_.sites.bias_deg(b) - expected.azimuth_deg);
  }
  return aside;
}

void TransmissionFold::make_fixes_of_known() {
  for (const auto& [index, bearings] : heard_) {
    const EmitterRecord& emitter = tracks_.emitters[index];
    std::vector<Bearing> own;
    for (const std::size_t i : bearings) own.push_back(t_.bearings[i]);
    const auto pooled = locate::pool(own, context_.stations, context_.rules.locate);
    const CrossFix fix = locate::cross_fix(pooled, context_.rules.locate);
    auto parts = parts_of(fix, pooled, t_, bearings, context_);
    const auto aside = set_aside_for(emitter);
    parts.insert(parts.end(), aside.begin(), aside.end());
    result_.fixes.push_back(fix_row(t_, next_ordinal(), fix, std::move(parts), emitter.shown.key));
  }
}

void TransmissionFold::solve_place(EmitterRecord& emitter) const {
  const auto pooled = emitter.sums.pooled(context_.sites);
  track::settle_still(emitter, locate::cross_fix(pooled, context_.rules.locate));
}

void TransmissionFold::settle(EmitterRecord& emitter) {
  if (emitter.shown.motion == Motion::still) {
    solve_place(emitter);
    return;
  }
  track::settle_moving(emitter);
  const Emitter& shown = emitter.shown;
  result_.track.push_back(
      {{shown.key, shown.valid_at, shown.fix.position, shown.fix.covariance, *shown.velocity},
       emitter.moving.state(),
       std::move(emitter.since_point)});
  emitter.since_point.emplace(emitter.moving.state());
}

/// All that is the emitter's in some part.
std::vector<HeardBearing> TransmissionFold::heard_by(int emitter) const {
  std::vector<HeardBearing> heard;
  for (std::size_t i = 0; i < shared_.claims.size(); ++i) {
    for (const Share& s : shared_.claims[i].shares) {
      if (s.emitter != emitter) continue;
      heard.push_back({&t_.bearings[i], s.azimuth_deg, s.probability});
    }
  }
  return heard;
}

void TransmissionFold::hear_all() {
  for (const auto& [index, bearings] : heard_) {
    EmitterRecord& emitter = tracks_.emitters[index];
    track::hear(emitter, heard_by(static_cast<int>(index)), context_.sites, rules_,
                result_.changes);
    track::choose_motion(emitter, t_.key.start, rules_, result_.changes);
    settle(emitter);
  }
}

void TransmissionFold::make_fixes_of_free_groups() {
  for (FreeGroup& group : shared_.groups) {
    std::erase_if(group.parts, [&](const Part& p) {  // lent, and given back
      return shared_.claims[p.index].emitter != kNobody;
    });
    if (group.parts.empty()) continue;
    std::optional<EmitterKey> emitter;
    const std::int32_t ordinal = next_ordinal();
    const auto c = candidacy(group);
    if (group.fix.accepted() && track::may_be_born(c, rules_)) {
      emitter = identity(ordinal);
      const std::size_t born =
          track::give_birth(tracks_, *emitter, c, context_.sites, rules_, result_.changes);
      solve_place(tracks_.emitters[born]);
    }
    result_.fixes.push_back(fix_row(t_, ordinal, group.fix, std::move(group.parts), emitter));
  }
}

/// Keys of the new ones come after those of all that were born in this transmission.
void TransmissionFold::split() {
  for (const auto& [index, bearings] : heard_) {
    const EmitterKey key = identity(next_ordinal() + static_cast<std::int64_t>(index));
    if (!track::split_twins(tracks_, index, key, t_.key.start, rules_, result_.changes)) continue;
    solve_place(tracks_.emitters[index]);
    solve_place(tracks_.emitters.back());
  }
}

void TransmissionFold::retire_moved() {
  for (const auto& [index, bearings] : heard_) {
    track::retire_moved(tracks_, index, t_.key.start, rules_, result_.changes);
  }
}

void TransmissionFold::merge() {
  const auto survivors = track::merge_duplicates(tracks_, t_.key.start, rules_, result_.changes);
  for (EmitterRecord& e : tracks_.emitters) {
    if (std::find(survivors.begin(), survivors.end(), e.shown.key) == survivors.end()) continue;
    solve_place(e);
  }
}

/// What several stations heard and could not be located, or lies beside a known emitter, may be
/// anything: only what one station heard alone makes a line.
void TransmissionFold::keep_lines() {
  const Bearing& first = t_.bearings.front();
  const bool alone = heard_.empty() && !first.station_moves &&
                     std::all_of(t_.bearings.begin(), t_.bearings.end(), [&](const Bearing& b) {
                       return b.key.station == first.key.station;
                     });
  if (alone) track::hear_alone(tracks_, t_.bearings, t_.key.start, context_.sites, rules_);
  track::locate_lines(tracks_, rules_, result_.changes);
}

}  // namespace

FoldResult fold_transmission(ChannelTracks& tracks, const Transmission& transmission,
                             const FoldContext& context) {
  return TransmissionFold(tracks, transmission, context).run();
}

}  // namespace fixwright::app
