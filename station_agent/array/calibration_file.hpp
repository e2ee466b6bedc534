#pragma once
/// A calibration as text: TOML that a person can read, and that server/base/config.hpp reads back.

#include <optional>
#include <string>

#include "server/base/config.hpp"
#include "station_agent/array/calibration.hpp"

namespace fixwright::agent::array {

/// Every number is written so that reading gives it back to the bit.
std::string calibration_toml(const ArrayCalibration& calibration);

/// Mistakes are noted in the table's file, one line each; then nothing is returned.
/// \param elements  that the array has.
std::optional<ArrayCalibration> read_calibration(const ConfigTable& table, int elements);

}  // namespace fixwright::agent::array
