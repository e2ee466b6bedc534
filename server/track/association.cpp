#include "server/track/association.hpp"

#include <cmath>
#include <numbers>
#include <optional>

#include "server/base/angle.hpp"
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

/// The best of the bearing's azimuths inside the gate.
std::optional<Option> fit(const Prediction& p, const Bearing& b, const SiteErrors& sites,
                          const TrackRules& rules) {
  const double bias = sites.bias_deg(b);
  const double gate = rules.gate_sigmas * rules.gate_sigmas;
  const double peak = 1.0 / std::sqrt(2.0 * std::numbers::pi * p.variance_deg2);
  std::optional<Option> best;
  const auto consider = [&](double azimuth_deg, double weight) {
    const double residual = wrap_180(azimuth_deg - bias - p.azimuth_deg);
    const double chi_square = residual * residual / p.variance_deg2;
    if (chi_square > gate) return;
    const double density = weight * peak * std::exp(-0.5 * chi_square);
    if (!best || density > best->density) best = Option{0, 0, azimuth_deg, density};
  };
  consider(b.azimuth_deg, 1.0);
  for (const auto& other : b.alternatives) consider(other.azimuth_deg, other.weight);
  return best;
}

}  // namespace

Prediction predict(const EmitterRecord& emitter, const Bearing& bearing, const SiteErrors& sites) {
  if (emitter.shown.motion == Motion::moving) return emitter.moving.predict(bearing, sites);
  return predict_from_place(emitter.shown, bearing, sites);
}

std::vector<Option> options_of(const ChannelTracks& tracks, std::span<const Bearing> bearings,
                               const SiteErrors& sites, const TrackRules& rules) {
  std::vector<Option> options;
  for (std::size_t i = 0; i < bearings.size(); ++i) {
    for (std::size_t e = 0; e < tracks.emitters.size(); ++e) {
      const EmitterRecord& emitter = tracks.emitters[e];
      if (!may_claim(emitter, bearings[i], rules)) continue;
      auto option = fit(predict(emitter, bearings[i], sites), bearings[i], sites, rules);
      if (!option) continue;
      option->bearing = i;
      option->emitter = static_cast<int>(e);
      options.push_back(*option);
    }
  }
  return options;
}

}  // namespace fixwright::track
