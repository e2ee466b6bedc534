#include "server/track/association.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "server/base/angle.hpp"
#include "server/track/assignment.hpp"
#include "server/track/place_error.hpp"
#include "server/track/sight_line.hpp"

namespace fixwright::track {

namespace {

Prediction predict_from_place(const Emitter& e, const Bearing& b, const SiteErrors& sites) {
  const auto view = sight_line(b.station_position, e.fix.position);
  const double east = view.per_east_rad_per_m * kRadToDeg;
  const double north = view.per_north_rad_per_m * kRadToDeg;
  const EnCovariance& c = e.fix.covariance;
  const double spread =
      east * east * c.ee_m2 + 2.0 * east * north * c.en_m2 + north * north * c.nn_m2;
  return {wrap_360(view.azimuth_rad * kRadToDeg),
          spread + sites.variance_deg2(b) + place_variance_deg2(b, view.range_m), view.range_m};
}

/// A mover whose place is hardly known would claim anything; an unsynchronised bearing says
/// nothing of a mover.
bool may_claim(const EmitterRecord& e, const Bearing& b, const TrackRules& rules) {
  if (e.shown.motion == Motion::still) return true;
  if ((b.flags & kFlagClockUnsynchronised) != 0U) return false;
  MotionFilter then = e.moving;
  then.advance(b.middle());
  return then.position_sigma_m() < rules.lost_track_sigma_m;
}

struct Fit {
  double cost = 0.0;
  double azimuth_deg = 0.0;
};

/// The best of the bearing's azimuths inside the gate; an alternative pays for its weight.
std::optional<Fit> fit(const Prediction& p, const Bearing& b, const SiteErrors& sites,
                       const TrackRules& rules) {
  const double bias = sites.bias_deg(b.key.station);
  const double gate = rules.gate_sigmas * rules.gate_sigmas;
  std::optional<Fit> best;
  const auto consider = [&](double azimuth_deg, double weight) {
    const double residual = wrap_180(azimuth_deg - bias - p.azimuth_deg);
    if (residual * residual > gate * p.variance_deg2) return;
    const double cost = surprise(residual, p.variance_deg2) - 2.0 * std::log(weight);
    if (!best || cost < best->cost) best = Fit{cost, azimuth_deg};
  };
  consider(b.azimuth_deg, 1.0);
  for (const auto& other : b.alternatives) consider(other.azimuth_deg, other.weight);
  return best;
}

/// Bearings [first, last) are of one station and instant.
struct Instant {
  std::vector<std::size_t> bearings;
};

std::vector<Instant> instants_of(std::span<const Bearing> bearings) {
  std::vector<Instant> instants;
  for (std::size_t i = 0; i < bearings.size(); ++i) {
    const bool same = i > 0 && bearings[i].start == bearings[i - 1].start &&
                      bearings[i].key.station == bearings[i - 1].key.station;
    if (!same) instants.emplace_back();
    instants.back().bearings.push_back(i);
  }
  return instants;
}

/// Who may choose in one round.
struct Round {
  const ChannelTracks& tracks;
  std::vector<int> emitters;
};

void claim_instant(const Instant& instant, const Round& round, std::span<const Bearing> bearings,
                   const SiteErrors& sites, const TrackRules& rules, std::vector<Claim>& claims) {
  std::vector<Candidate> candidates;
  std::vector<double> azimuths;
  for (const std::size_t i : instant.bearings) {
    if (claims[i].emitter != kNobody) continue;
    for (const int e : round.emitters) {
      const EmitterRecord& emitter = round.tracks.emitters[static_cast<std::size_t>(e)];
      if (!may_claim(emitter, bearings[i], rules)) continue;
      const auto found = fit(predict(emitter, bearings[i], sites), bearings[i], sites, rules);
      if (!found) continue;
      candidates.push_back({static_cast<int>(i), e, found->cost});
      azimuths.push_back(found->azimuth_deg);
    }
  }
  for (const std::size_t chosen : cheapest_assignment(candidates)) {
    claims[static_cast<std::size_t>(candidates[chosen].bearing)] = {
        candidates[chosen].emitter, azimuths[chosen], candidates[chosen].cost};
  }
}

}  // namespace

Prediction predict(const EmitterRecord& emitter, const Bearing& bearing, const SiteErrors& sites) {
  if (emitter.shown.motion == Motion::moving) return emitter.moving.predict(bearing, sites);
  return predict_from_place(emitter.shown, bearing, sites);
}

std::vector<Claim> claim_bearings(const ChannelTracks& tracks, std::span<const Bearing> bearings,
                                  const SiteErrors& sites, const TrackRules& rules,
                                  const std::vector<bool>& on_air) {
  std::vector<Claim> claims(bearings.size());
  const auto instants = instants_of(bearings);
  for (const bool believed : {true, false}) {
    Round round{tracks, {}};
    for (std::size_t e = 0; e < tracks.emitters.size(); ++e) {
      if (!on_air.empty() && !on_air[e]) continue;
      if (tracks.emitters[e].believed() == believed) round.emitters.push_back(static_cast<int>(e));
    }
    if (round.emitters.empty()) continue;
    for (const Instant& instant : instants) {
      claim_instant(instant, round, bearings, sites, rules, claims);
    }
  }
  return claims;
}

}  // namespace fixwright::track
