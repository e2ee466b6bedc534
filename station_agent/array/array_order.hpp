#pragma once
/// Which mistake of mounting explains what a transmitter at a known azimuth looks like: cables
/// swapped, elements numbered the other way round, the array turned.

#include <string>
#include <vector>

#include "station_agent/array/azimuth_estimator.hpp"

namespace fixwright::agent::array {

/// In order of plainness: of those that fit equally well the first is told.
enum class ArrayMistake {
  none,      // as configured
  turned,    // forward points elsewhere
  swapped,   // two elements' cables
  reversed,  // numbered the other way round
  shifted,   // numbered from another element on
  unknown,   // none of these explains it
};
std::string_view word(ArrayMistake mistake);

struct ArrayExplanation {
  ArrayMistake mistake = ArrayMistake::none;
  int first = -1;  // swapped: the two elements, from 0; shifted: the element that is the first
  int second = -1;
  /// What must be added to the configured orientation as well, (-180, 180]; 0: nothing.
  double turn_deg = 0.0;
  /// What this explanation leaves, rms phase error per element.
  double misfit_deg = 0.0;
};

/// A look at one transmitter, strong and alone, whose azimuth is known.
struct KnownLook {
  SpatialCovariance look;
  double azimuth_deg = 0.0;  // true
};

struct OrderVerdict {
  ArrayExplanation likeliest;
  /// Others that fit as well; more transmitters, in other directions, tell them apart.
  std::vector<ArrayExplanation> equals;
};

/// Tries every such mistake, with the orientation as configured and with any other.
/// \param tolerance_deg  misfit that a sound array may have: calibration and reflections.
/// \pre looks are not empty, and each passes input_refusal().
/// Swaps and shifts are of antennas: the receivers keep their calibration. A correction table is
/// left out. On a full circle "shifted" is the same as "turned", which is then told.
OrderVerdict explain_order(const Manifold& manifold, const std::vector<KnownLook>& looks,
                           double tolerance_deg = 8.0);

/// One line for the host of a site: "elements 2 and 4 are swapped".
std::string describe(const ArrayExplanation& explanation);

}  // namespace fixwright::agent::array
