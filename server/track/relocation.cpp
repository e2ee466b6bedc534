#include "server/track/relocation.hpp"

#include <fmt/core.h>

#include "server/geodesy/geodesic.hpp"

namespace fixwright::track {

namespace {

constexpr double kUsualPauses = 8.0;  // e^-8 if pauses are as random as can be
constexpr double kLongestPauses = 2.0;
constexpr std::uint32_t kLeastTransmissions = 10;

double usual_pause_s(const EmitterRecord& e) {
  return seconds(e.surely.last - e.surely.first) / e.surely.count;
}

bool speaks_no_more(const EmitterRecord& e, TimePoint at, const TrackRules& rules) {
  if (!e.believed() || e.shown.motion != Motion::still) return false;
  if (e.surely.count < kLeastTransmissions) return false;
  const double silent_s = seconds(at - e.surely.last);
  return silent_s > rules.relocate_s && silent_s > kUsualPauses * usual_pause_s(e) &&
         silent_s > kLongestPauses * seconds(e.surely.longest_pause);
}

}  // namespace

void retire_moved(ChannelTracks& tracks, std::size_t heard, TimePoint at, const TrackRules& rules,
                  Changes& changes) {
  const EmitterRecord& now = tracks.emitters[heard];
  if (!now.believed()) return;
  for (EmitterRecord& old : tracks.emitters) {
    if (old.surely.last >= now.shown.first_heard || !speaks_no_more(old, at, rules)) continue;
    const double apart_km =
        1e-3 * geodesy::distance_m(old.shown.fix.position, now.shown.fix.position);
    changes.events.push_back(
        {old.shown.key, at, EmitterEventKind::moved,
         fmt::format("not heard for {:.0f} h, {:.0f} of its usual pauses; since then emitter {} "
                     "speaks on the channel, {:.1f} km away",
                     seconds(at - old.surely.last) / 3600.0,
                     seconds(at - old.surely.last) / usual_pause_s(old), now.shown.key.id,
                     apart_km)});
    old.shown.state = EmitterState::retired;
    changes.ended.push_back(old.shown);
  }
}

}  // namespace fixwright::track
