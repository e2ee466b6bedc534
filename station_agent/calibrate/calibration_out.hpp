#pragma once
/// Putting a calibration on the disk without losing an older one.

#include <filesystem>
#include <string>

#include "station_agent/array/calibration.hpp"

namespace fixwright::agent::calibrate {

/// Says in one line why the file can't be written there, or nothing. Asked before measuring.
std::string out_problem(const std::filesystem::path& path, bool force);

/// Never leaves half a file. \param force  whether a file that is there may be replaced.
/// \return one line of what went wrong, or nothing.
std::string write_calibration(const std::filesystem::path& path,
                              const array::ArrayCalibration& calibration, bool force);

}  // namespace fixwright::agent::calibrate
