#pragma once
/// From the covariance of the elements' samples to an azimuth with an honest sigma.

#include <array>
#include <memory>
#include <string_view>

#include "station_agent/array/elements.hpp"
#include "station_agent/array/manifold.hpp"

namespace fixwright::agent::array {

/// Samples of all elements, averaged over one signal: R = mean of x x^H.
struct SpatialCovariance {
  ElementMatrix matrix;       // elements x elements, power
  double snapshots = 0.0;     // independent ones in it, >= 1; need not be whole
  ElementReals noise_power;   // per element, same units and bandwidth as the matrix, > 0
  double frequency_hz = 0.0;  // centre of the signal
};

/// Why there is no azimuth; the word is the enumerator's own name.
enum class EstimateRefusal {
  none,
  wrong_shape,         // another number of elements than the array has
  bad_covariance,      // not finite, not Hermitian, or no power in it
  bad_noise_power,     // not finite or not > 0
  too_few_snapshots,   // fewer than min_snapshots
  no_signal,           // no direction stands out of the noise
  dead_element,        // one element is silent: Estimate::element
  incoherent_element,  // one element shares no phase with the others: Estimate::element
  uncalibrated,        // the calibration's state: its own word in Estimate::calibration
  poor_fit,            // what arrives is no wave, or two, of this array: order, drift, near field
};
std::string_view word(EstimateRefusal refusal);

/// Another direction that the same samples may come from, or a second source.
struct Alternative {
  double azimuth_deg = 0.0;  // true, [0, 360)
  double weight = 0.0;       // > 0; all of them and the estimate's own sum to 1
};

enum class SecondSource {
  none,
  independent,  // another transmitter on the same frequency
  coherent,     // a reflection of the same signal
};

inline constexpr int kMaxAlternatives = 4;

/// \invariant refusal == none: azimuth and sigma are finite, sigma > 0.
struct Estimate {
  EstimateRefusal refusal = EstimateRefusal::none;
  CalibrationState calibration = CalibrationState::uncalibrated;
  double azimuth_deg = 0.0;      // true, [0, 360): the strongest source
  double sigma_deg = 0.0;        // one standard deviation: noise and calibrated floor together
  double noise_sigma_deg = 0.0;  // the noise's share alone
  double weight = 1.0;           // of azimuth_deg among the alternatives
  double snr_db = 0.0;           // per element, mean over the array
  int sources = 0;               // independent ones by the eigenvalues' test: 1, 2, ...
  SecondSource second = SecondSource::none;
  bool ambiguous = false;  // an alternative has at least ambiguous_weight of the likelihood
  /// What the model leaves of the received vector, as rms phase error per element. Compare with
  /// the calibration's residual: it grows when the calibration drifts.
  double misfit_deg = 0.0;
  int element = -1;  // the one at fault, from 0, when the refusal says so
  int alternative_count = 0;
  std::array<Alternative, kMaxAlternatives> alternatives{};  // by falling weight

  [[nodiscard]] bool accepted() const { return refusal == EstimateRefusal::none; }
};

struct EstimatorRules {
  double min_snapshots = 8.0;
  /// Floors of sigma: the calibrated one, and what counts while there is no calibration.
  double floor_deg = 0.5;
  double uncalibrated_floor_deg = 10.0;
  /// Bearings of an array that is not calibrated are flagged and get the floor above; false:
  /// refused. Drifted or incoherent arrays never give any.
  bool allow_uncalibrated = false;
  /// rms error of the manifold that is usual after calibration, as phase.
  double manifold_error_deg = 3.0;
  double uncalibrated_error_deg = 20.0;
  /// A look that one wave leaves more of than this, and two don't explain, is refused: poor_fit.
  double largest_misfit_deg = 18.0;
  double uncalibrated_misfit_deg = 40.0;
  /// Only azimuths within half_width_deg of this one, clockwise from the array's forward, are
  /// looked at: for a line with a reflector 0 and 90.
  double sector_centre_deg = 0.0;
  double sector_half_width_deg = 180.0;
  double ambiguous_weight = 0.05;
};

/// One per array and thread. All memory is taken at construction.
class AzimuthEstimator {
 public:
  AzimuthEstimator(Manifold manifold, EstimatorRules rules = {});
  ~AzimuthEstimator();
  AzimuthEstimator(AzimuthEstimator&&) noexcept;
  AzimuthEstimator& operator=(AzimuthEstimator&&) noexcept;

  /// What the caller knows about the calibration now; at first `calibrated`, when the manifold
  /// carries a measured one or a table, else `uncalibrated`.
  void set_calibration_state(CalibrationState state);

  /// Never throws, never allocates; the same input gives the same estimate.
  Estimate estimate(const SpatialCovariance& covariance);

  [[nodiscard]] const Manifold& manifold() const;

 private:
  struct Workspace;
  std::unique_ptr<Workspace> work_;
};

}  // namespace fixwright::agent::array
