#include "server/track/duplicates.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <tuple>

#include "server/geodesy/local_frame.hpp"

namespace fixwright::track {

namespace {

void mark_distinct(EmitterRecord& a, EmitterRecord& b) {
  const auto add = [](EmitterRecord& to, EmitterKey key) {
    auto& known = to.distinct_from;
    if (std::find(known.begin(), known.end(), key) == known.end()) known.push_back(key);
  };
  add(a, b.shown.key);
  add(b, a.shown.key);
}

bool marked_distinct(const EmitterRecord& a, const EmitterRecord& b) {
  const auto& known = a.distinct_from;
  return std::find(known.begin(), known.end(), b.shown.key) != known.end();
}

bool same_place(const EmitterRecord& a, const EmitterRecord& b, const TrackRules& rules) {
  if (a.shown.motion == Motion::moving || b.shown.motion == Motion::moving) return false;
  if (marked_distinct(a, b)) return false;
  if (a.shown.looks < a.merge_from_look || b.shown.looks < b.merge_from_look) return false;
  const EnCovariance& ca = a.shown.fix.covariance;
  const EnCovariance& cb = b.shown.fix.covariance;
  const EnCovariance both{ca.ee_m2 + cb.ee_m2, ca.en_m2 + cb.en_m2, ca.nn_m2 + cb.nn_m2};
  const auto apart = geodesy::offset(a.shown.fix.position, b.shown.fix.position);
  return geodesy::mahalanobis_squared(both, apart) < rules.merge_chi_square;
}

/// Believed before tentative, then the one heard more, then the older.
bool better_known(const EmitterRecord& a, const EmitterRecord& b) {
  const auto rank = [](const EmitterRecord& e) {
    return std::tuple{e.believed(), e.shown.bearings, -e.shown.key.id};
  };
  return rank(a) > rank(b);
}

void join(EmitterRecord& into, EmitterRecord& from, TimePoint at, Changes& changes) {
  into.sums.add(from.sums);
  Emitter& kept = into.shown;
  const Emitter& gone = from.shown;
  const auto all = static_cast<double>(kept.bearings + gone.bearings);
  kept.frequency_hz +=
      (gone.frequency_hz - kept.frequency_hz) * (static_cast<double>(gone.bearings) / all);
  kept.bearings += gone.bearings;
  kept.looks += gone.looks;
  kept.first_heard = std::min(kept.first_heard, gone.first_heard);
  kept.last_heard = std::max(kept.last_heard, gone.last_heard);
  kept.stations = into.sums.stations();
  into.transmissions += from.transmissions;
  into.scatter = {};
  changes.events.push_back({gone.key, at, EmitterEventKind::merged,
                            fmt::format("same place as emitter {}, within both uncertainties, and "
                                        "never heard beside it",
                                        kept.key.id)});
  from.shown.state = EmitterState::retired;
  changes.ended.push_back(from.shown);
}

}  // namespace

void note_distinct(ChannelTracks& tracks, std::span<const Bearing> bearings,
                   const std::vector<Claim>& claims) {
  for (std::size_t i = 1; i < bearings.size(); ++i) {
    for (std::size_t j = i; j-- > 0;) {
      const bool same = bearings[i].start == bearings[j].start &&
                        bearings[i].key.station == bearings[j].key.station;
      if (!same) break;  // EventOrder keeps an instant's bearings together
      const int a = claims[i].emitter;
      const int b = claims[j].emitter;
      if (a == kNobody || b == kNobody) continue;
      mark_distinct(tracks.emitters[static_cast<std::size_t>(a)],
                    tracks.emitters[static_cast<std::size_t>(b)]);
    }
  }
}

std::vector<EmitterKey> merge_duplicates(ChannelTracks& tracks, TimePoint at,
                                         const TrackRules& rules, Changes& changes) {
  std::vector<EmitterKey> survivors;
  auto& all = tracks.emitters;
  for (std::size_t i = 0; i < all.size(); ++i) {
    for (std::size_t j = i + 1; j < all.size(); ++j) {
      const auto retired = EmitterState::retired;
      if (all[i].shown.state == retired || all[j].shown.state == retired) continue;
      if (!same_place(all[i], all[j], rules)) continue;
      EmitterRecord& kept = better_known(all[i], all[j]) ? all[i] : all[j];
      join(kept, &kept == &all[i] ? all[j] : all[i], at, changes);
      survivors.push_back(kept.shown.key);
    }
  }
  std::erase_if(all, [](const EmitterRecord& e) { return e.shown.state == EmitterState::retired; });
  return survivors;
}

}  // namespace fixwright::track
