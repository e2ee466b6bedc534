#pragma once
/// Whether a station's azimuths drifted off: its mast turned, its antenna was changed.
///
/// A station is compared with itself: each still emitter's azimuth, hour by hour, with what it was
/// in the emitter's first hours. So nobody's place enters, neither the station's part in an
/// emitter's place nor the site's own error in that direction, which would look like a drift. The
/// value of an hour is the median over the emitters, so that one that moved is not taken for a
/// drift; it goes into a two-sided cumulative sum (cusum.hpp) in units of its sigma.
///
/// With k = 0.5 and h = 10 a station that did not drift is called drifted once in 70 000 hours that
/// it hears, and a shift of 2 sigmas is found after 7: D. Siegmund's formula for the mean run
/// length, Sequential Analysis (1985), ch. 2, as D. C. Montgomery, Introduction to Statistical
/// Quality Control, gives it (from memory; a test checks it against runs).

#include <optional>
#include <span>

#include "server/model/azimuth_hour.hpp"
#include "server/model/calibration.hpp"

namespace fixwright::calibrate {

struct DriftRules {
  int baseline_hours = 24;  // of an emitter: what its later azimuths are compared with, 6 to 1000
  std::size_t min_emitters = 3;  // in an hour, or it says nothing; 2 to 100
  /// What all emitters share in an hour and is no drift (weather, heat), one standard deviation.
  /// Degrees, 0.05 to 10. A drift under half of it is never found.
  double hour_sigma_deg = 0.5;
  double decision_sigmas = 10.0;  // h, 3 to 100
};

/// What the chart says after the last of these hours; nothing when it has not begun: too few
/// emitters with a baseline. Drifted is taken back when as much speaks for the old azimuths again.
/// While it stands no new baseline is learnt, or the drift would become what is usual.
/// residual_deg is the mean of the last 24 values, of those since the drift began if it did.
/// \param hours  of one station under one calibration, in any order.
std::optional<CalibrationDrift> drift(std::span<const AzimuthHour> hours, const DriftRules& rules);

}  // namespace fixwright::calibrate
