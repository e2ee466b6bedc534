#pragma once
/// Why looks at the references make no calibration, in words for the host.

#include <string>
#include <vector>

#include "station_agent/array/calibrate.hpp"

namespace fixwright::agent::calibrate {

/// One line. \pre result.problem is not none; looks are those it is of.
std::string refusal_of(const array::CalibrationResult& result,
                       const std::vector<array::ReferenceLook>& looks);

/// An element that was another one at the end than at the beginning. One line, or nothing.
/// \param first, last  as measured in the first and in the last part of the time.
std::string movement_of(const array::ArrayCalibration& first, const array::ArrayCalibration& last);

/// Two frequencies are explained by gain, phase and delay whatever was received: only that no
/// cable is so long tells that it was no reference. One line, or nothing.
std::string long_delay_of(const array::ArrayCalibration& calibration);
inline constexpr double kLongestDelay_s = 1e-6;  // 200 m of cable

}  // namespace fixwright::agent::calibrate
