#pragma once
/// What an array can and can't do on the watched channels, before it hears anything.

#include <vector>

#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/array/manifold.hpp"
#include "station_agent/check/finding.hpp"

namespace fixwright::agent::check {

/// Lowest and highest frequency that is watched.
struct FrequencySpan {
  double low_hz = 0.0;
  double high_hz = 0.0;
};

Finding check_spacing(const array::ArrayGeometry& geometry, const FrequencySpan& span);

/// Similarity, 0 to 1, of the two directions that are most alike. From kAlike on noise of a weak
/// signal may take one for the other, from kSame on the residual of a good calibration may: 3 deg
/// rms in phase and gain hide 1 - level^2 < 0.05 at three sigma. (Our choice, no source.)
inline constexpr double kAlike = 0.9;
inline constexpr double kSame = 0.975;
Finding check_ambiguity(const array::Manifold& manifold, const array::EstimatorRules& rules,
                        const FrequencySpan& span);

/// What a cable 1 cm longer than the array believes, and a kink of 10 deg, make of azimuths.
Finding check_cables(const array::Manifold& manifold, const FrequencySpan& span);

/// \param max_age  0: it never expires. \param now  of the samples.
Finding check_calibration(const array::Manifold& manifold, const array::EstimatorRules& rules,
                          const FrequencySpan& span, Duration max_age, TimePoint now);

}  // namespace fixwright::agent::check
