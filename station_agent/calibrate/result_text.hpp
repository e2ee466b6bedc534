#pragma once
/// A measured calibration as a host reads it.

#include <string>

#include "station_agent/calibrate/measure.hpp"

namespace fixwright::agent::calibrate {

/// What was heard, one row an element, residual and range, and what has changed against the
/// calibration in use. Elements are counted from 1. \pre measured.
/// \param in_use  no elements: there is none.
std::string text_of(const Measurement& measurement, const array::ArrayCalibration& in_use);

}  // namespace fixwright::agent::calibrate
