#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/time.hpp"
#include "server/model/bearing.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

/// What is known of a station's error of azimuth, and of which of its bearings.
struct Calibration {
  TimePoint valid_from;  // of bearings that start then or later
  double low_hz = 0.0;   // [low, high)
  double high_hz = 1e12;
  double from_azimuth_deg = 0.0;  // as indicated, [from, to); from > to goes through north
  double to_azimuth_deg = 360.0;
  double bias_deg = 0.0;  // indicated minus true, [-180, 180): subtracted before use

  [[nodiscard]] bool covers(const Bearing& b) const {
    if (b.start < valid_from || b.frequency_hz < low_hz || b.frequency_hz >= high_hz) return false;
    const double a = b.azimuth_deg;
    return from_azimuth_deg <= to_azimuth_deg ? a >= from_azimuth_deg && a < to_azimuth_deg
                                              : a >= from_azimuth_deg || a < to_azimuth_deg;
  }
  friend bool operator==(const Calibration&, const Calibration&) = default;
};

/// Whether a station's recent bearings still agree with what is subtracted from them.
struct CalibrationDrift {
  StationId station = 0;
  TimePoint at;               // of the last bearing looked at
  bool drifted = false;       // false: within its limit, or back there
  double residual_deg = 0.0;  // mean of what is left after correction, [-180, 180)
  double sigma_deg = 0.0;     // one standard deviation of that mean, > 0
  std::size_t emitters = 0;   // behind it
  std::string evidence = {};  // one line for a person
};

/// Accepted calibrations of each station, in the order of their acceptance.
using Calibrations = std::map<StationId, std::vector<Calibration>>;

/// How a proposal was come by.
enum class CalibrationMethod {
  reference,  // bearings of transmitters whose place is known
  joint,      // all stations together, from emitters heard again and again
};

std::string_view to_string(CalibrationMethod m);

enum class CalibrationState { proposed, accepted, refused };
std::string_view to_string(CalibrationState s);

/// A calibration that was proposed, with its evidence, and what a person decided about it.
struct ProposedCalibration {
  std::int64_t id = 0;  // given by the store
  StationId station = 0;
  CalibrationMethod method = CalibrationMethod::reference;
  Calibration calibration;      // valid_from: of the decision; before that, of the first bearing
  double bias_sigma_deg = 0.0;  // one standard deviation of the bias, >= 0
  double spread_deg = 0.0;      // what one bearing scatters about it, noise and site, >= 0
  std::size_t bearings = 0;     // behind it
  std::size_t transmitters = 0;
  TimePoint first;  // of the bearings behind it
  TimePoint last;
  std::string evidence;  // one line for a person
  TimePoint proposed_at;
  std::string proposed_by;
  CalibrationState state = CalibrationState::proposed;
  std::optional<TimePoint> decided_at;
  std::string decided_by;
  std::string note;
};

}  // namespace fixwright
