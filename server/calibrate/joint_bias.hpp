#pragma once
/// Biases of all stations together, from still emitters heard again and again, wherever they are.
///
/// Observations are station means; unknown are a bias a station and a place an emitter:
///
///     azimuth(station, emitter) = geodesic azimuth + bias(station) + noise
///
/// Weighted least squares, Gauss-Newton on the geodesic, places eliminated (Schur complement),
/// with a prior of a few degrees on each bias. What the prior alone decides is no measurement,
/// so the geometry is judged without it and refused where it leaves a direction open:
///   - stations x emitters >= stations + 2 emitters (3 stations: 3 emitters; 4: 2), counting
///     what was heard, and a reference transmitter for an emitter that costs nothing;
///   - not all emitters on one circle through the stations: there a common rotation of all
///     biases moves each emitter along the circle and changes no bearing (inscribed angles).

#include <optional>
#include <span>
#include <vector>

#include "server/base/geo.hpp"
#include "server/base/result.hpp"
#include "server/calibrate/proposal.hpp"

namespace fixwright::calibrate {

/// All bearings of one emitter at one station, pooled.
struct JointObservation {
  std::size_t emitter = 0;  // index into the emitters
  StationId station = 0;
  GeoPoint station_position;
  double azimuth_deg = 0.0;  // mean as sent, no bias subtracted, [0, 360)
  double sigma_deg = 0.0;    // of the mean, the site's floor included, > 0
  std::size_t bearings = 1;  // behind the mean
  TimePoint first;           // of them
  TimePoint last;
};

struct JointEmitter {
  GeoPoint position;                 // known, or where to start
  std::optional<double> known_to_m;  // one sigma an axis for a reference transmitter, > 0
};

struct JointRules {
  double prior_sigma_deg = 3.0;  // 0.1 to 30
  /// A direction of the biases known worse than this without the prior is open. Degrees, 0.1 to
  /// 30: the prior would decide it.
  double open_sigma_deg = 3.0;
  int max_iterations = 30;  // 1 to 1000
};

struct JointCalibration {
  std::vector<CalibrationProposal> proposals;  // by station, rising
  std::vector<GeoPoint> positions;             // of the emitters, in the order given
  double chi_square = 0.0;                     // of the observations
  int degrees_of_freedom = 0;
  int iterations = 0;
};

/// spread_deg of a proposal is that of the station's means about the solution, their redundancy
/// counted; with no degree of freedom it is the stated sigma. bias_sigma_deg grows by
/// sqrt(chi-square / degrees of freedom) where that is over 1.
/// Fails with one line that says why: too few emitters, a circle, no convergence.
/// \pre every emitter index is in range; sigmas and known_to_m are over 0.
Result<JointCalibration> joint_bias(std::span<const JointObservation> observations,
                                    std::span<const JointEmitter> emitters,
                                    const JointRules& rules = {});

}  // namespace fixwright::calibrate
