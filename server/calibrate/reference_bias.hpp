#pragma once
/// Bias and spread of a station from bearings of transmitters whose place is known.

#include <span>

#include "server/base/geo.hpp"
#include "server/base/result.hpp"
#include "server/calibrate/proposal.hpp"

namespace fixwright::calibrate {

/// A bearing, as sent (no bias subtracted), of a transmitter at a known place.
struct ReferenceBearing {
  StationId station = 0;
  GeoPoint station_position;
  double azimuth_deg = 0.0;  // [0, 360)
  GeoPoint reference;
  TimePoint at;
};

struct ReferenceRules {
  std::size_t min_bearings = 5;   // 3 to 1e6: fewer prove nothing
  double min_distance_m = 500.0;  // 1 to 1e6: nearer, an error of place is an error of azimuth
};

/// Median and median absolute deviation of the differences, wrapped round their mean direction:
/// with a fifth of the bearings gross errors (multipath) the result stays honest, 1.5 times worse
/// than the mean would be without them.
///
///     bias = median;  spread = 1.4826 MAD;  sigma of the bias = 1.2533 spread / sqrt(n)
///
/// Source: P. J. Huber, Robust Statistics (1981), ch. 1 and 5: both factors are those of a normal
/// distribution, 1 / Phi^-1(3/4) and sqrt(pi / 2).
/// Limit: bearings of one session share their multipath; the sigma is as good as they are
/// independent. Fails with one line: too few bearings, more than one station.
Result<CalibrationProposal> reference_bias(std::span<const ReferenceBearing> bearings,
                                           const ReferenceRules& rules = {});

}  // namespace fixwright::calibrate
