#pragma once
/// The looks of one reference, put together so that calibration can judge them.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/detect/look.hpp"

namespace fixwright::agent::calibrate {

/// What was heard of one reference.
struct Gathered {
  /// The good looks' covariances, averaged by snapshots, in up to kParts parts of the time: many
  /// snapshots each, and what moves on the way shows as their difference.
  std::vector<array::SpatialCovariance> parts;
  double snapshots = 0.0;
  double snr_db = 0.0;  // mean over elements and looks
  std::size_t looks = 0;
  std::size_t overloaded = 0;      // of them, not used
  std::optional<int> faulty = {};  // an element that is stuck, dead or deaf, from 0
};

inline constexpr int kParts = 4;
/// Fewer snapshots are too few: at the least SNR, 10 dB, they hold a phase to 1.6 deg.
inline constexpr double kLeastSnapshots = 64.0;

/// \param looks  of one channel, in the order of time.
Gathered gather(const std::vector<detect::ChannelLook>& looks);

/// One line why it can't be used, or nothing. \param lasted_s  of samples that were read.
std::string gathering_problem(const Gathered& gathered, double frequency_hz, double lasted_s);

}  // namespace fixwright::agent::calibrate
