#pragma once
/// Sufficient statistics of a still emitter: all that its bearings say about its place, in a few
/// numbers a station. An hour or a year of bearings costs the same.

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "server/model/fix.hpp"
#include "server/track/site_errors.hpp"

namespace fixwright::track {

class BearingSums {
 public:
  /// Adds one bearing, believed to point at the emitter with this azimuth (the bearing's main
  /// one or an alternative), degrees, as sent: the station's bias is taken off here.
  /// \param probability  that it does: it counts for so much.
  void add(const Bearing& bearing, double azimuth_deg, const SiteErrors& sites,
           double probability = 1.0);

  /// Adds all that `other` holds.
  void add(const BearingSums& other);

  /// One observation a station and place: weighted mean, and the variance of
  /// SiteErrors::pooled_variance_deg2. Ordered by station, then as first heard.
  [[nodiscard]] std::vector<PooledBearing> pooled(const SiteErrors& sites) const;

  /// A fixed station's mean azimuth, degrees, its bias taken off; nothing where it has none.
  [[nodiscard]] std::optional<double> mean_deg(StationId station) const;

  /// The same for a place moved: each mean turned, and counted only `share` as much.
  /// \param turn_deg  by station and its place.
  [[nodiscard]] BearingSums moved(double share,
                                  const std::function<double(StationId, GeoPoint)>& turn_deg) const;

  /// Stations that contributed, rising, each once.
  [[nodiscard]] std::vector<StationId> stations() const;

  [[nodiscard]] bool empty() const { return sums_.empty(); }

  /// For memory.hpp.
  template <typename Visit>
  void each_field(Visit& visit) {
    visit(sums_);
  }

 private:
  /// Offsets are taken from the first azimuth, so that they never wrap.
  struct Sum {
    StationId station = 0;
    GeoPoint place;
    double reference_deg = 0.0;
    double weight = 0.0;           // sum of 1 / sigma^2, deg^-2
    double weighted_offset = 0.0;  // sum of (azimuth - reference) / sigma^2, deg^-1
    double count = 0.0;            // sum of probabilities
    double place_sigma_m = 0.0;
    bool moves = false;

    template <typename Visit>
    void each_field(Visit& visit) {
      visit(station, place, reference_deg, weight, weighted_offset, count, place_sigma_m, moves);
    }
  };

  void add(const Sum& sum);
  void make_room();
  [[nodiscard]] std::vector<int> sharing_site() const;

  std::vector<Sum> sums_;  // by station
};

}  // namespace fixwright::track
