#include "server/app/pipeline/share.hpp"

#include <algorithm>
#include <set>

#include "server/track/newcomer.hpp"

namespace fixwright::app {

namespace {

using track::Claim;
using track::kNobody;

constexpr std::size_t kCheckedStations = 3;

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
  Indices free;  // nobody's
  Indices lent;  // claimed by an emitter that only one station seems to hear
};

Weakness weigh(std::size_t emitters, const Transmission& t, const std::vector<Claim>& claims) {
  const auto stations = stations_of_claims(emitters, t, claims);
  Weakness w;
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

Indices merged(const Indices& a, const Indices& b) {
  Indices all = a;
  all.insert(all.end(), b.begin(), b.end());
  std::sort(all.begin(), all.end());
  return all;
}

/// The bearings that no group uses.
std::vector<Bearing> without(const Transmission& t, const std::vector<FreeGroup>& groups) {
  Indices used;
  for (const FreeGroup& g : groups) used = merged(used, g.used());
  std::vector<Bearing> rest;
  for (std::size_t i = 0; i < t.bearings.size(); ++i) {
    if (!std::binary_search(used.begin(), used.end(), i)) rest.push_back(t.bearings[i]);
  }
  return rest;
}

/// ln of the likelihood of the bearings a group uses if they are a new emitter's, over that of
/// their being nobody's.
double log_likelihood_of(const FreeGroup& group, const Transmission& t,
                         const FoldContext& context) {
  std::vector<track::NewcomersBearing> bearings;
  for (const Part& p : group.parts) {
    if (p.used)
      bearings.push_back({p.residual_deg, context.sites.variance_deg2(t.bearings[p.index])});
  }
  return track::newcomers_log_likelihood(bearings, group.fix.covariance);
}

/// Whether groups, which take lent bearings, explain the transmission better than the known
/// emitters alone. Each has to be sure: three stations.
bool lending_pays(const std::vector<FreeGroup>& groups, const Weakness& w,
                  const track::ChannelTracks& tracks, const Sharing& shared, const Transmission& t,
                  const FoldContext& context) {
  bool used = false;
  double theirs = 0.0;
  for (const FreeGroup& g : groups) {
    if (!g.fix.accepted()) continue;
    theirs += log_likelihood_of(g, t, context);
    if (!g.uses_any(w.lent)) continue;
    if (static_cast<std::size_t>(g.stations) < kCheckedStations) return false;
    used = true;
  }
  if (!used) return false;
  const auto rest = track::explain(tracks, without(t, groups), context.sites, context.rules.track);
  return theirs + rest.log_likelihood > shared.explained.log_likelihood;
}

}  // namespace

Sharing share_bearings(const track::ChannelTracks& tracks, const Transmission& transmission,
                       const FoldContext& context) {
  Sharing shared;
  shared.explained =
      track::explain(tracks, transmission.bearings, context.sites, context.rules.track);
  shared.claims = shared.explained.claims;
  const Weakness w = weigh(tracks.emitters.size(), transmission, shared.claims);
  if (!w.lent.empty() && w.lent.size() + w.free.size() >= kCheckedStations) {
    auto groups = search_groups(transmission, merged(w.free, w.lent), context);
    if (lending_pays(groups, w, tracks, shared, transmission, context)) {
      for (const FreeGroup& g : groups) {
        if (!g.fix.accepted()) continue;
        for (const std::size_t i : g.used()) shared.claims[i] = Claim{};
      }
      shared.groups = std::move(groups);
      return shared;
    }
  }
  shared.groups = search_groups(transmission, w.free, context);
  return shared;
}

}  // namespace fixwright::app
