#pragma once
/// The hypothesis that each station simply sees a constant azimuth, whatever place that is: so
/// look an emitter at rest, a constant error of a site, and a reflection. What moves must explain
/// its bearings better than this.

#include <array>
#include <optional>

#include "server/model/bearing.hpp"
#include "server/track/motion_state.hpp"
#include "server/track/site_errors.hpp"

namespace fixwright::track {

class SteadyAzimuths {
 public:
  /// Takes a bearing in.
  /// \return surprise() of it; nothing for a station's first, which only says what it sees, for a
  ///         station that moves, and for stations beyond MotionState::kMaxSites.
  ///         Farther from the mean than the gate it is a false bearing, as in MotionFilter.
  std::optional<double> update(const Bearing& bearing, double azimuth_deg, const SiteErrors& sites,
                               double gate_sigmas);

  /// For memory.hpp.
  template <typename Visit>
  void each_field(Visit& visit) {
    visit(seen_, count_);
  }

 private:
  struct Seen {
    StationId station = 0;
    double azimuth_deg = 0.0;  // mean
    double variance_deg2 = 0.0;

    template <typename Visit>
    void each_field(Visit& visit) {
      visit(station, azimuth_deg, variance_deg2);
    }
  };
  std::array<Seen, MotionState::kMaxSites> seen_{};
  std::size_t count_ = 0;
};

}  // namespace fixwright::track
