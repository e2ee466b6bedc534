#pragma once
/// Measuring the elements' responses: from one signal fed to all receivers alike, or from a
/// transmitter at a known azimuth.

#include <optional>
#include <string_view>
#include <vector>

#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/array/calibration.hpp"
#include "station_agent/array/geometry.hpp"

namespace fixwright::agent::array {

/// One look at the reference, at one frequency.
struct ReferenceLook {
  SpatialCovariance look;
  /// True azimuth of the transmitter; none: the signal was fed to all receivers alike.
  std::optional<double> azimuth_deg;
};

struct CalibrationPlan {
  TimePoint date{};
  std::optional<double> temperature_c;
  /// What the divider and its cables themselves do to each element's reference; none: nothing.
  ArrayCalibration reference_legs;
  /// How far beyond the measured frequencies the result holds, as a share of them.
  double margin = 0.005;
  double least_snr_db = 10.0;  // of the weakest element
  double largest_residual_deg = 15.0;
};

/// Why there is no calibration; the word is the enumerator's own name.
enum class CalibrationProblem {
  none,
  no_looks,
  bad_look,            // as the estimator would refuse it
  dead_element,        // CalibrationResult::element
  incoherent_element,  // CalibrationResult::element
  several_sources,     // the reference is not alone on its frequency
  weak_signal,         // CalibrationResult::element is under least_snr_db
  poor_fit,            // gain, phase and delay do not explain what was measured
};
std::string_view word(CalibrationProblem problem);

struct CalibrationResult {
  CalibrationProblem problem = CalibrationProblem::none;
  int element = -1;  // from 0, where one is at fault
  int look = -1;     // from 0, where one is at fault
  ArrayCalibration calibration;
};

/// Gains relative to the elements' mean (in dB), phases and delays relative to the first element.
/// Delays need looks at two frequencies or more, and are found up to half the inverse of the
/// smallest step between them, at most 1 us; at one frequency they are 0. Element responses are
/// the covariance's principal eigenvector, the maximum-likelihood estimate for one source.
/// \pre all looks have an azimuth, or none has.
CalibrationResult calibrate(const ArrayGeometry& geometry, const std::vector<ReferenceLook>& looks,
                            const CalibrationPlan& plan);

}  // namespace fixwright::agent::array
