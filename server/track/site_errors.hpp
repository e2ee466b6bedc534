#pragma once

#include <algorithm>
#include <cstdint>

#include "server/model/bearing.hpp"
#include "server/model/station.hpp"

namespace fixwright::track {

/// What a station's site adds to each of its bearings: a bias that is known, and a floor that is
/// not and that no number of bearings averages away.
///
/// Of a station that is not configured nothing is known: the stated sigma is taken as the whole
/// error of one bearing, of which as much as the default floor is the site's.
class SiteErrors {
 public:
  /// A sigma below it is taken as this: from there on double arithmetic rules, not the bearing.
  static constexpr double kLeastSigma_deg = 1e-6;

  /// \param stations  outlives this object.
  SiteErrors(const Stations& stations, double default_site_sigma_deg)
      : stations_(&stations), default_variance_(default_site_sigma_deg * default_site_sigma_deg) {}

  /// Indicated minus true, degrees, as far as it is known.
  [[nodiscard]] double bias_deg(const Bearing& b) const {
    const auto found = stations_->find(b.key.station);
    return found == stations_->end() ? 0.0 : found->second.bias_of(b);
  }

  /// Variance of one bearing, noise and site, deg^2.
  [[nodiscard]] double variance_deg2(const Bearing& b) const {
    const auto found = stations_->find(b.key.station);
    const double stated = stated_variance_deg2(b);
    if (found == stations_->end()) return stated;
    return stated + found->second.site_sigma_deg * found->second.site_sigma_deg;
  }

  /// The part of variance_deg2() that all bearings of the station share: the site's, deg^2. Of a
  /// station that is not configured, no more than half of the whole.
  [[nodiscard]] double site_variance_deg2(const Bearing& b) const {
    const auto found = stations_->find(b.key.station);
    if (found != stations_->end()) {
      return found->second.site_sigma_deg * found->second.site_sigma_deg;
    }
    return std::min(default_variance_, 0.5 * stated_variance_deg2(b));
  }

  /// And the part that each has for itself, deg^2; > 0.
  [[nodiscard]] double noise_variance_deg2(const Bearing& b) const {
    const double stated = stated_variance_deg2(b);
    return stations_->contains(b.key.station) ? stated : stated - site_variance_deg2(b);
  }

  /// What the station itself says of it, deg^2; > 0.
  [[nodiscard]] static double stated_variance_deg2(const Bearing& b) {
    const double sigma_deg = std::max(b.sigma_deg, kLeastSigma_deg);
    return sigma_deg * sigma_deg;
  }

  /// Variance of the mean of a station's bearings: site_sigma^2 + 1 / sum(1 / sigma_i^2).
  /// \param weight  sum of 1 / sigma^2, deg^-2.
  [[nodiscard]] double pooled_variance_deg2(StationId station, double weight, double count) const {
    const auto found = stations_->find(station);
    if (found != stations_->end()) {
      return found->second.site_sigma_deg * found->second.site_sigma_deg + 1.0 / weight;
    }
    const double one = count / weight;
    const double site = std::min(default_variance_, one);
    return site + (one - site) / count;
  }

 private:
  const Stations* stations_;
  double default_variance_;
};

}  // namespace fixwright::track
