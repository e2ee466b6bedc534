#pragma once
/// What a motion hypothesis knows of an emitter at one moment.

#include <array>
#include <cstddef>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"
#include "server/model/ids.hpp"

namespace fixwright::track {

/// Mean and covariance of place, velocity and the errors of the sites that heard it.
///
/// The order of the state is east, north (m), their rates (m/s), then one azimuth error a site
/// (deg): constant in time, unknown, with the site's variance before anything was heard. Without
/// it a hundred bearings would pass for a hundred independent ones, and a constant error for
/// motion. The frame is that of the mean place, so that no frame is ever left behind.
struct MotionState {
  static constexpr std::size_t kMoving = 4;    // east, north and their rates
  static constexpr std::size_t kMaxSites = 8;  // further ones count as noise
  static constexpr std::size_t kMaxSize = kMoving + kMaxSites;

  GeoPoint position;
  TimePoint at;
  std::array<double, 2> speed_m_per_s{};  // east, north
  std::size_t sites = 0;
  std::array<StationId, kMaxSites> site{};
  std::array<double, kMaxSites> site_error_deg{};
  /// Row by row, size() rows of kMaxSize; m, m/s and deg.
  std::array<double, kMaxSize * kMaxSize> covariance{};

  [[nodiscard]] std::size_t size() const { return kMoving + sites; }
  /// Index into the state of a site's error; size() for a site that is not in it.
  [[nodiscard]] std::size_t place_of(StationId station) const {
    std::size_t i = 0;
    while (i < sites && site[i] != station) ++i;
    return kMoving + i;
  }
  [[nodiscard]] double p(std::size_t row, std::size_t column) const {
    return covariance[row * kMaxSize + column];
  }
};

}  // namespace fixwright::track
