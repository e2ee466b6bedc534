#pragma once
/// How well a network would locate: before anything is heard, from where its stations stand. To
/// site a station, and to know where a network sees nothing.

#include <optional>
#include <span>
#include <vector>

#include "server/base/geo.hpp"

namespace fixwright::locate {

/// A station as far as that matters.
struct Receiver {
  GeoPoint position;
  double sigma_deg = 1.0;  // of what it would say of a place, the site's own error included; > 0
  double antenna_height_m = 0.0;  // >= 0
};

struct AccuracyRules {
  double probability = 0.95;   // of the ellipse, (0, 1)
  double range_m = 100'000.0;  // nobody hears farther; > 0
  /// Height of the transmitter's antenna, m; when given, nobody hears beyond the radio horizon.
  std::optional<double> transmitter_height_m = {};
};

/// 4.12 (sqrt(h1) + sqrt(h2)) km, heights in m: over a smooth earth of 4/3 the radius
/// (Rec. ITU-R P.310, effective earth radius; k = 4/3). \return metres.
double radio_horizon_m(double height_1_m, double height_2_m);

struct ExpectedFix {
  ErrorEllipse ellipse;
  int stations = 0;  // that would hear it
};

/// The Cramer-Rao bound of a fix there: the inverse of the sum of each bearing's information
/// (D. J. Torrieri, IEEE Trans. AES-20 (1984) 183, eqs. 92 to 97). \return nothing where fewer than
/// two would hear it, or all from one direction (crossing under a quarter of a degree).
std::optional<ExpectedFix> expected_fix(GeoPoint place, std::span<const Receiver> receivers,
                                        const AccuracyRules& rules);

/// Where one more would help most: the candidate that gives the places the most information
/// together, the sum of ln det (D-optimality: V. V. Fedorov, Theory of Optimal Experiments, 1972,
/// ch. 2). Where there is none yet, a place counts as known to 50 km.
/// \return an index into candidates; nothing when there are none.
std::optional<std::size_t> best_candidate(std::span<const Receiver> candidates,
                                          std::span<const GeoPoint> places,
                                          std::span<const Receiver> receivers,
                                          const AccuracyRules& rules);

}  // namespace fixwright::locate
