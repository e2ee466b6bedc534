#pragma once
/// The array's manifold: what its elements receive from a plane wave, by azimuth and frequency.

#include <memory>

#include "station_agent/array/calibration.hpp"
#include "station_agent/array/elements.hpp"
#include "station_agent/array/geometry.hpp"
#include "station_agent/array/manifold_table.hpp"

namespace fixwright::agent::array {

/// Element e receives a_e = exp(i 2 pi f / c * (p_e . u)) * response_e(f) * correction_e(f,
/// azimuth) with u the unit vector towards the transmitter: an element nearer to it is ahead in
/// phase. Samples are the analytic signal's (positive frequencies turn counter-clockwise).
class Manifold {
 public:
  /// \pre geometry_problem(geometry) is empty; calibration and table, when there, have as many
  ///      elements as the geometry.
  explicit Manifold(ArrayGeometry geometry, ArrayCalibration calibration = {},
                    ManifoldTable table = {});

  [[nodiscard]] int elements() const { return geometry_.size(); }
  [[nodiscard]] const ArrayGeometry& geometry() const { return geometry_; }
  [[nodiscard]] const ArrayCalibration& calibration() const { return calibration_; }
  [[nodiscard]] bool has_table() const { return !table_.empty(); }

  /// The steering vector of a wave from `azimuth_deg` (true), along the horizon or from
  /// `elevation_deg` above it; not normalised. Nothing is allocated.
  [[nodiscard]] ElementVector steering(double azimuth_deg, double frequency_hz,
                                       double elevation_deg = 0.0) const;
  /// Its derivative with azimuth, per radian.
  [[nodiscard]] ElementVector steering_slope(double azimuth_deg, double frequency_hz) const;
  /// The geometry's share alone: no response, no correction.
  [[nodiscard]] ElementVector ideal_steering(double azimuth_deg, double frequency_hz,
                                             double elevation_deg = 0.0) const;

 private:
  [[nodiscard]] ElementVector channel_factors(double azimuth_deg, double frequency_hz) const;

  ArrayGeometry geometry_;
  ArrayCalibration calibration_;
  ManifoldTable table_;
};

}  // namespace fixwright::agent::array
