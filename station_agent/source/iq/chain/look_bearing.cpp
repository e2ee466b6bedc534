#include "station_agent/source/iq/chain/look_bearing.hpp"

#include <algorithm>
#include <cassert>

#include "server/base/angle.hpp"

namespace fixwright::agent::iq {

array::SpatialCovariance covariance_of(const detect::ChannelLook& look) {
  array::SpatialCovariance c;
  c.matrix = look.covariance;
  c.snapshots = look.snapshots;
  c.frequency_hz = look.frequency_hz;
  c.noise_power = look.noise_power;
  return c;
}

SourceBearing bearing_of(const detect::ChannelLook& look, const array::Estimate& estimate) {
  assert(estimate.accepted());
  SourceBearing b;
  b.start = look.start;
  b.integration = look.integration;
  b.frequency_hz = look.frequency_hz;
  b.azimuth_deg = wrap_360(estimate.azimuth_deg);
  b.sigma_deg = std::clamp(estimate.sigma_deg, 1e-3, 90.0);
  for (int i = 0; i < estimate.alternative_count; ++i) {
    const array::Alternative& a = estimate.alternatives[static_cast<std::size_t>(i)];
    const double weight = std::min(a.weight / estimate.weight, 1.0);
    b.alternatives.push_back({wrap_360(a.azimuth_deg), weight});
  }
  b.level_dbfs = std::min(look.level_dbfs, 0.0);
  b.snr_db = look.snr_db;
  b.bandwidth_hz = look.bandwidth_hz;
  b.overload = look.overload;
  b.uncalibrated = estimate.calibration != array::CalibrationState::calibrated;
  return b;
}

}  // namespace fixwright::agent::iq
