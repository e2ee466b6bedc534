#pragma once
/// Whether what is taken for one still emitter is two, close together: its looks then scatter more
/// along the line between them than their bearings' own errors let them.

#include <optional>
#include <span>
#include <vector>

#include "server/geodesy/local_frame.hpp"
#include "server/track/bearing_sums.hpp"
#include "server/track/heard_bearing.hpp"

namespace fixwright::track {

/// Two places, each so far from the middle.
struct Twins {
  geodesy::EnOffset half;
  double looks = 0.0;
  double ratio = 0.0;  // scatter along the line between them, over what the bearings' errors give
};

/// Sums of the last looks, some four hundred; a look is a transmission that three stations heard.
///
/// Of each look the score H' W r, where r is each station's departure from its own mean azimuth:
/// no site's error is in it. One emitter's scores scatter as the information H' W H does, on the
/// scale of what the scores leave unexplained; the greatest ratio of the two, over all directions,
/// says how much more there is (the generalised eigenvalue: T. W. Anderson, An Introduction to
/// Multivariate Statistical Analysis, 3rd ed., 2003, 8.6).
class Scatter {
 public:
  /// \param sums  of the bearings so far, this look's included or not.
  void add_look(std::span<const HeardBearing> heard, const BearingSums& sums, GeoPoint place,
                const SiteErrors& sites);

  /// Two, if the scatter is that of two; both as often heard is taken for granted.
  [[nodiscard]] std::optional<Twins> twins() const;

  /// For memory.hpp.
  template <typename Visit>
  void each_field(Visit& visit) {
    visit(looks_, east_, north_, scores_, information_, left_, freedom_);
  }

 private:
  /// Sums over looks of the symmetric 2 x 2 matrices, 1/m^2.
  struct Square {
    double ee = 0.0;
    double en = 0.0;
    double nn = 0.0;

    template <typename Visit>
    void each_field(Visit& visit) {
      visit(ee, en, nn);
    }
  };

  double looks_ = 0.0;
  double east_ = 0.0;  // sum of scores: a mean that is still on its way is no scatter
  double north_ = 0.0;
  Square scores_;       // of score score'
  Square information_;  // of H' W H
  double left_ = 0.0;   // chi-square that the scores leave
  double freedom_ = 0.0;
};

}  // namespace fixwright::track
