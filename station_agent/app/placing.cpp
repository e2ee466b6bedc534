#include "station_agent/app/placing.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/base/log.hpp"

namespace fixwright::agent {

namespace {

/// A bound, taken as a uniform error.
double uniform_sigma(double half_width) { return half_width / std::sqrt(3.0); }

void turn(SourceBearing& b, const Heading& heading) {
  b.azimuth_deg = wrap_360(b.azimuth_deg + heading.azimuth_deg);
  for (SourceAlternative& a : b.alternatives) {
    a.azimuth_deg = wrap_360(a.azimuth_deg + heading.azimuth_deg);
  }
  b.sigma_deg = std::min(std::hypot(b.sigma_deg, heading.sigma_deg), 90.0);
  b.from_heading = false;
}

}  // namespace

void Placing::place(std::vector<SourceBearing>& bearings, const ClockReading& clock) {
  if (navigation_ == nullptr) return;
  std::erase_if(bearings, [&](SourceBearing& b) {
    const Lack lack = place_one(b, clock);
    tell(lack);
    return lack != Lack::none;
  });
}

Placing::Lack Placing::place_one(SourceBearing& b, const ClockReading& clock) const {
  const Whereabouts where = navigation_->at(b.start + b.integration / 2);
  if (!where.place) return Lack::position;
  if (b.from_heading && !where.heading) return Lack::heading;
  const Place& p = *where.place;
  const double clock_m = p.speed_m_per_s * uniform_sigma(seconds(clock.error));
  const double way_m = p.speed_m_per_s * uniform_sigma(0.5 * seconds(b.integration));
  b.position = SourcePosition{p.position.latitude_deg, p.position.longitude_deg, p.height_m,
                              std::hypot(p.sigma_m, clock_m, way_m)};
  if (b.from_heading) turn(b, *where.heading);
  return Lack::none;
}

void Placing::tell(Lack lack) {
  if (lack != Lack::none) {
    ++withheld_;
    ++withheld_since_told_;
  }
  if (lack == told_) return;
  if (told_ != Lack::none) {
    const std::uint64_t count = withheld_since_told_ - (lack != Lack::none ? 1 : 0);
    log::info("position: {} bearings were withheld", count);
    withheld_since_told_ = lack != Lack::none ? 1 : 0;
  }
  told_ = lack;
  if (lack == Lack::position) {
    log::warn(
        "position: no position for the time of a bearing: bearings are withheld; check "
        "receiver, sky and clock");
  } else if (lack == Lack::heading) {
    log::warn(
        "position: the vehicle stands still or its heading is unknown: bearings are withheld "
        "until it drives or a compass tells");
  }
}

}  // namespace fixwright::agent
