#include "server/track/presence.hpp"

#include <cmath>
#include <numbers>
#include <set>
#include <utility>

namespace fixwright::track {

namespace {

/// -2 ln of the density of a bearing that is nobody's: one in twenty, any of 360 degrees.
const double kNobodysCost = -2.0 * std::log(0.05 / 360.0);
/// -2 ln of the probability that a station which knows an emitter does not hear it.
const double kMissCost = -2.0 * std::log(0.2);

struct Hypothesis {
  std::vector<bool> on_air;
  std::vector<Claim> claims;
  std::vector<std::size_t> misses;  // by emitter on the air; 0 where nothing is claimed
  double cost = 0.0;
};

using Heard = std::vector<std::set<StationId>>;

Heard stations_of_claims(std::size_t emitters, std::span<const Bearing> bearings,
                         const std::vector<Claim>& claims) {
  Heard heard(emitters);
  for (std::size_t i = 0; i < claims.size(); ++i) {
    if (claims[i].emitter == kNobody) continue;
    heard[static_cast<std::size_t>(claims[i].emitter)].insert(bearings[i].key.station);
  }
  return heard;
}

std::size_t missing(const EmitterRecord& emitter, const std::set<StationId>& heard) {
  if (heard.empty()) return 0;  // off the air: nothing was missed
  std::size_t missed = 0;
  for (const StationId known : emitter.shown.stations) missed += heard.contains(known) ? 0U : 1U;
  return missed;
}

Hypothesis evaluate(std::vector<bool> on_air, const ChannelTracks& tracks,
                    std::span<const Bearing> bearings, const SiteErrors& sites,
                    const TrackRules& rules) {
  Hypothesis h;
  h.claims = claim_bearings(tracks, bearings, sites, rules, on_air);
  h.on_air = std::move(on_air);
  for (const Claim& c : h.claims) {
    const bool nobodys = c.emitter == kNobody;
    h.cost += nobodys ? kNobodysCost : c.cost + std::log(2.0 * std::numbers::pi);
  }
  const Heard heard = stations_of_claims(tracks.emitters.size(), bearings, h.claims);
  for (std::size_t e = 0; e < heard.size(); ++e) {
    h.misses.push_back(missing(tracks.emitters[e], heard[e]));
    h.cost += kMissCost * static_cast<double>(h.misses.back());
  }
  return h;
}

}  // namespace

std::vector<Claim> claim_present(const ChannelTracks& tracks, std::span<const Bearing> bearings,
                                 const SiteErrors& sites, const TrackRules& rules) {
  Hypothesis best =
      evaluate(std::vector<bool>(tracks.emitters.size(), true), tracks, bearings, sites, rules);
  for (bool better = tracks.emitters.size() > 1; better;) {
    better = false;
    const Hypothesis from = best;
    for (std::size_t e = 0; e < from.misses.size(); ++e) {
      if (from.misses[e] == 0) continue;
      auto without = from.on_air;
      without[e] = false;
      Hypothesis tried = evaluate(std::move(without), tracks, bearings, sites, rules);
      if (tried.cost >= best.cost) continue;
      best = std::move(tried);
      better = true;
    }
  }
  return best.claims;
}

}  // namespace fixwright::track
