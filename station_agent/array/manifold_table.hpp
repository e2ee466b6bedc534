#pragma once
/// A measured correction of the manifold: coupling between elements, the mast, the roof.

#include <istream>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "station_agent/array/elements.hpp"

namespace fixwright::agent::array {

/// Factors on the steering vector at measured azimuths and frequencies; in between they are
/// interpolated, linear in frequency and, round the circle, in azimuth. Outside the measured
/// frequencies the nearest counts.
class ManifoldTable {
 public:
  /// No table: the factor is 1.
  ManifoldTable() = default;

  /// \param azimuths_deg    clockwise from the array's forward, ascending, in [0, 360).
  /// \param frequencies_hz  ascending, > 0.
  /// \param factors         of frequency i and azimuth j at [i * azimuths + j]; all of one size.
  ManifoldTable(std::vector<double> azimuths_deg, std::vector<double> frequencies_hz,
                std::vector<ElementVector> factors);

  [[nodiscard]] bool empty() const { return factors_.empty(); }
  [[nodiscard]] int elements() const;
  /// \param relative_deg  clockwise from the array's forward. \pre not empty().
  [[nodiscard]] ElementVector factor(double relative_deg, double frequency_hz) const;

  /// CSV with the columns frequency_hz, azimuth_deg (clockwise from forward), element (from 1),
  /// gain_db, phase_deg. Fails with one line a mistake: NAME:LINE: what. Every azimuth must be
  /// there at every frequency for every element, once.
  static Result<ManifoldTable> read(std::istream& in, const std::string& name, int elements);
  [[nodiscard]] std::string csv() const;

 private:
  [[nodiscard]] ElementVector at_frequency(std::size_t row, double relative_deg) const;

  std::vector<double> azimuths_deg_;
  std::vector<double> frequencies_hz_;
  std::vector<ElementVector> factors_;
};

}  // namespace fixwright::agent::array
