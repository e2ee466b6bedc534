#pragma once
/// What the samples say of the receiver: are they all there, quiet enough, and not too strong?

#include "station_agent/check/finding.hpp"
#include "station_agent/check/survey.hpp"

namespace fixwright::agent::check {

/// Whether samples come at all, and without gaps.
Finding check_samples(const Survey& survey);

/// Noise of each element against the others; one that is stuck, dead or deaf is a fault.
inline constexpr double kNoiseAdvice_db = 3.0;   // from the median; receivers of one kind are
inline constexpr double kNoiseWarning_db = 6.0;  // within 2 dB (common practice, no source)
Finding check_noise(const Survey& survey);

/// \param overload_share  of an element's samples, from which on it counts (DetectionRules).
Finding check_overload(const Survey& survey, double overload_share);

}  // namespace fixwright::agent::check
