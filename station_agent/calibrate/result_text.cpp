#include "station_agent/calibrate/result_text.hpp"

#include <fmt/core.h>

#include <cmath>

#include "server/base/angle.hpp"

namespace fixwright::agent::calibrate {

namespace {

/// Of the usual cable with solid polyethylene. Common practice, no source.
constexpr double kCableSpeed = 0.66;
/// Nearer, the errors of both places count for degrees: 5 m are 1 deg at 286 m.
constexpr double kPlaceError_m = 5.0;
constexpr double kMuch_deg = 1.0;

std::string heard_text(const HeardReference& h) {
  std::string text = fmt::format("  {:.6f} MHz: {:.1f} dB over the noise, {:.0f} snapshots",
                                 h.reference.frequency_hz / 1e6, h.snr_db, h.snapshots);
  if (!h.reference.line) return text + "\n";
  const check::TrueLine& line = *h.reference.line;
  text += fmt::format(", from {:.2f} deg, {:.0f} m away\n", line.azimuth_deg, line.range_m);
  const double turn_deg = std::atan2(kPlaceError_m, line.range_m) * kRadToDeg;
  if (turn_deg > kMuch_deg) {
    text += fmt::format("  Near: {:.0f} m of error in a place turn all bearings by {:.1f} deg.\n",
                        kPlaceError_m, turn_deg);
  }
  return text;
}

std::string element_text(int number, const array::ElementResponse& e, bool delays) {
  std::string text = fmt::format("  {:>7} {:>+9.2f} {:>+10.1f}", number, e.gain_db, e.phase_deg);
  if (!delays) return text + fmt::format(" {:>9} {:>9}\n", "-", "-");
  const double cable_cm = 100.0 * kCableSpeed * array::kSpeedOfLight_m_s * e.delay_s;
  return text + fmt::format(" {:>+9.2f} {:>+9.1f}\n", 1e9 * e.delay_s, cable_cm);
}

std::string moved_elements(const array::ArrayCalibration& in_use,
                           const array::ArrayCalibration& fresh) {
  const array::CalibrationLimits limits;
  std::string text;
  int number = 0;
  for (const array::ElementChange& c : element_changes(in_use, fresh, fresh.reference_hz)) {
    ++number;
    const bool far = std::abs(c.phase_deg) > limits.largest_phase_deg ||
                     std::abs(c.gain_db) > limits.largest_gain_db;
    if (!far) continue;
    text += fmt::format("  Element {} moved by {:+.1f} deg, {:+.2f} dB.\n", number, c.phase_deg,
                        c.gain_db);
  }
  return text;
}

std::string drift_text(const array::ArrayCalibration& in_use,
                       const array::ArrayCalibration& fresh) {
  if (in_use.elements.empty()) return "There is no calibration in use to compare with.\n";
  const array::CalibrationDrift drift = compare(in_use, fresh, {});
  const std::string whose =
      fmt::format("Against the calibration in use, of {}: ", format_rfc3339(in_use.date, 0));
  if (drift.state == array::CalibrationState::uncalibrated) {
    return whose + "no frequency in common, not compared.\n";
  }
  const std::string most = fmt::format("element {} changed most, by {:.1f} deg, {:.2f} dB",
                                       drift.element + 1, drift.phase_deg, drift.gain_db);
  if (drift.state == array::CalibrationState::calibrated) {
    return whose + most + ": it still held.\n";
  }
  return whose + "drifted; " + most + ".\n" + moved_elements(in_use, fresh) +
         "  Look for what was changed: cables, plugs, receivers, temperature.\n";
}

}  // namespace

std::string text_of(const Measurement& m, const array::ArrayCalibration& in_use) {
  const array::ArrayCalibration& c = m.calibration;
  const bool delays = m.delay_sigma_s > 0.0;
  std::string text = fmt::format("{} elements, {}:\n", c.elements.size(), word(c.method));
  for (const HeardReference& h : m.heard) text += heard_text(h);
  text += "\n  element   gain dB  phase deg  delay ns  cable cm\n";
  int number = 0;
  for (const array::ElementResponse& e : c.elements) text += element_text(++number, e, delays);
  text += delays ? fmt::format(
                       "  Delays are good to {:.2f} ns; cable at {} of the speed of light, "
                       "plus: longer.\n",
                       1e9 * m.delay_sigma_s, kCableSpeed)
                 : "  Delays need two frequencies or more.\n";
  text += fmt::format("\nResidual {:.2f} deg rms. Holds from {:.3f} to {:.3f} MHz.\n",
                      c.residual_deg, c.low_hz / 1e6, c.high_hz / 1e6);
  return text + drift_text(in_use, c);
}

}  // namespace fixwright::agent::calibrate
