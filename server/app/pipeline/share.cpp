#include "server/app/pipeline/share.hpp"

#include <algorithm>
#include <set>

#include "server/track/presence.hpp"

namespace fixwright::app {

namespace {

using track::Claim;
using track::kNobody;

constexpr int kCheckedStations = 3;

/// Stations that claim for each emitter.
std::vector<std::set<StationId>> stations_of_claims(std::size_t emitters, const Transmission& t,
                                                    const std::vector<Claim>& claims) {
  std::vector<std::set<StationId>> stations(emitters);
  for (std::size_t i = 0; i < claims.size(); ++i) {
    if (claims[i].emitter == kNobody) continue;
    stations[static_cast<std::size_t>(claims[i].emitter)].insert(t.bearings[i].key.station);
  }
  return stations;
}

struct Weakness {
  Indices free;         // nobody's
  Indices lent;         // claimed by an emitter that only one station seems to hear
  bool strong = false;  // some emitter is heard by two stations or more
};

Weakness weigh(std::size_t emitters, const Transmission& t, const std::vector<Claim>& claims) {
  const auto stations = stations_of_claims(emitters, t, claims);
  Weakness w;
  for (const auto& s : stations) w.strong = w.strong || s.size() >= 2;
  for (std::size_t i = 0; i < claims.size(); ++i) {
    const int e = claims[i].emitter;
    if (e == kNobody) {
      w.free.push_back(i);
    } else if (stations[static_cast<std::size_t>(e)].size() == 1) {
      w.lent.push_back(i);
    }
  }
  return w;
}

/// A group that takes lent bearings has to be sure: three stations.
bool lending_paid(const std::vector<FreeGroup>& groups, const Indices& lent) {
  bool used = false;
  for (const FreeGroup& g : groups) {
    if (!g.uses_any(lent)) continue;
    if (!g.fix.accepted() || g.stations < kCheckedStations) return false;
    used = true;
  }
  return used;
}

void take_from_claims(std::vector<Claim>& claims, const Indices& bearings) {
  for (const std::size_t i : bearings) claims[i] = Claim{};
}

Indices merged(const Indices& a, const Indices& b) {
  Indices all = a;
  all.insert(all.end(), b.begin(), b.end());
  std::sort(all.begin(), all.end());
  return all;
}

}  // namespace

Sharing share_bearings(const track::ChannelTracks& tracks, const Transmission& transmission,
                       const FoldContext& context) {
  Sharing shared;
  shared.claims =
      track::claim_present(tracks, transmission.bearings, context.sites, context.rules.track);
  const Weakness w = weigh(tracks.emitters.size(), transmission, shared.claims);
  if (w.strong) take_from_claims(shared.claims, w.lent);
  if (!w.lent.empty() && (w.strong || !w.free.empty())) {
    shared.groups = search_groups(transmission, merged(w.free, w.lent), context);
    if (w.strong || lending_paid(shared.groups, w.lent)) {
      for (const FreeGroup& g : shared.groups) {
        if (g.fix.accepted()) take_from_claims(shared.claims, g.used());
      }
      return shared;
    }
  }
  shared.groups = search_groups(transmission, w.free, context);
  return shared;
}

}  // namespace fixwright::app
