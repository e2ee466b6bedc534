#pragma once
/// Whether a stored calibration still holds.

#include <bitset>
#include <optional>
#include <vector>

#include "station_agent/array/calibration.hpp"

namespace fixwright::agent::array {

struct CalibrationLimits {
  double largest_phase_deg = 10.0;
  double largest_gain_db = 1.5;
  Duration longest_age = std::chrono::hours{24 * 30};
  double largest_temperature_change_c = 20.0;
};

/// By date and temperature alone. A calibration from the future counts as expired: one of the two
/// clocks is wrong.
CalibrationState state_at(const ArrayCalibration& stored, TimePoint now,
                          std::optional<double> temperature_c, const CalibrationLimits& limits);

struct CalibrationDrift {
  CalibrationState state = CalibrationState::calibrated;  // or drifted, or uncalibrated
  int element = -1;  // that changed most, from 0; by phase, or by gain where that is over its limit
  double phase_deg = 0.0;  // its change against the elements' common phase, absolute
  double gain_db = 0.0;    // its change against the elements' mean gain, absolute
};

/// What changed between a stored and a fresh measurement, at the ends and in the middle of the
/// frequencies that both hold for. Uncalibrated: other elements, or no frequency in common.
CalibrationDrift compare(const ArrayCalibration& stored, const ArrayCalibration& fresh,
                         const CalibrationLimits& limits);

/// How one element's response changed, against what all elements have in common.
struct ElementChange {
  double phase_deg = 0.0;  // (-180, 180]
  double gain_db = 0.0;
};
/// \pre both have as many elements.
std::vector<ElementChange> element_changes(const ArrayCalibration& stored,
                                           const ArrayCalibration& fresh, double frequency_hz);

/// Drift, swapped cables and a wrong order, seen without any reference: most looks of a sound array
/// are one wave to within a few degrees. Give it every look that is loud enough (20 dB).
class MisfitWatch {
 public:
  /// \param limit_deg  misfit beyond which a look speaks against the calibration.
  explicit MisfitWatch(double limit_deg = 12.0) : limit_deg_(limit_deg) {}

  /// \param misfit_deg  Estimate::misfit_deg of an accepted estimate without a second source, or of
  ///                    one refused for poor_fit.
  void add(double misfit_deg);
  /// Drifted when half of the last kLooks looks or more speak against it; calibrated before there
  /// are as many. A site in the midst of reflections can look like that too: its limit is higher.
  [[nodiscard]] CalibrationState state() const;

  static constexpr int kLooks = 64;

 private:
  double limit_deg_;
  std::bitset<kLooks> against_;
  int next_ = 0;
  bool full_ = false;
};

}  // namespace fixwright::agent::array
