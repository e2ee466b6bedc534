#include "server/track/steady_azimuths.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/track/motion_filter.hpp"

namespace fixwright::track {

std::optional<double> SteadyAzimuths::update(const Bearing& bearing, double azimuth_deg,
                                             const SiteErrors& sites, double gate_sigmas) {
  if (bearing.station_moves) return std::nullopt;
  const auto* const end = seen_.data() + count_;
  auto* const seen = std::find_if(seen_.data(), seen_.data() + count_,
                                  [&](const Seen& s) { return s.station == bearing.key.station; });
  const double noise = sites.noise_variance_deg2(bearing);
  if (seen == end) {
    if (count_ < seen_.size()) seen_[count_++] = {bearing.key.station, azimuth_deg, noise};
    return std::nullopt;
  }
  const double variance = seen->variance_deg2 + noise;
  const double residual = wrap_180(azimuth_deg - seen->azimuth_deg);
  const double limit = gate_sigmas * gate_sigmas * variance;
  if (residual * residual > limit) return surprise(std::sqrt(limit), variance);
  seen->azimuth_deg = wrap_360(seen->azimuth_deg + residual * seen->variance_deg2 / variance);
  seen->variance_deg2 *= noise / variance;
  return surprise(residual, variance);
}

}  // namespace fixwright::track
