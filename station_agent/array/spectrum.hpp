#pragma once
/// The spatial spectrum: how much of a Hermitian matrix lies along each direction's steering
/// vector, its maxima, and those maxima refined off the grid.

#include <array>
#include <vector>

#include "station_agent/array/elements.hpp"
#include "station_agent/array/manifold.hpp"

namespace fixwright::agent::array {

/// One degree: a lobe of an aperture of ten wavelengths is still five steps wide.
inline constexpr int kGridSteps = 360;
inline constexpr int kMaxPeaks = 8;

struct Peak {
  double azimuth_deg = 0.0;  // true, [0, 360)
  double value = 0.0;
};

/// By falling value.
struct PeakList {
  int count = 0;
  std::array<Peak, kMaxPeaks> peaks{};

  void insert(const Peak& peak);
};

/// Azimuths clockwise from the array's forward.
struct Sector {
  double centre_deg = 0.0;
  double half_width_deg = 180.0;
};

/// Steering vectors over the whole circle, kept for the frequencies of last use.
class SteeringGrid {
 public:
  SteeringGrid(int elements, int frequencies);
  /// Columns: azimuth 0, 1, ... 359 deg true. Recomputed for a frequency not within 1e-4 of a
  /// kept one; only where to look for maxima is decided on it.
  const Eigen::MatrixXcd& at(const Manifold& manifold, double frequency_hz);

 private:
  struct Entry {
    double frequency_hz = 0.0;
    Eigen::MatrixXcd columns;
  };
  std::vector<Entry> entries_;
  std::size_t next_ = 0;
};

/// The spectrum of one look. Value in direction t: b^H Q b / b^H b, b = scale . a(t), after
/// the direction of `nulled`, when there is one, was taken out of b.
class Spectrum {
 public:
  /// \param scale  per element, 1 / sqrt(noise power): makes the noise alike.
  Spectrum(const Manifold& manifold, const Eigen::MatrixXcd& grid, const ElementReals& scale,
           double frequency_hz, Sector sector);

  /// b, of length 1.
  [[nodiscard]] ElementVector unit_steering(double azimuth_deg) const;
  /// scale . a and its slope per radian.
  [[nodiscard]] ElementVector scaled_steering(double azimuth_deg) const;
  [[nodiscard]] ElementVector scaled_slope(double azimuth_deg) const;

  [[nodiscard]] double value(const ElementMatrix& q, double azimuth_deg,
                             const ElementVector* nulled = nullptr) const;
  /// The largest maxima within the sector; refined when asked for.
  [[nodiscard]] PeakList maxima(const ElementMatrix& q,
                                const ElementVector* nulled = nullptr) const;
  /// The maximum near an azimuth, to about 1e-5 deg.
  [[nodiscard]] Peak refine(const ElementMatrix& q, double azimuth_deg,
                            const ElementVector* nulled = nullptr) const;

 private:
  [[nodiscard]] bool in_sector(double azimuth_deg) const;

  const Manifold* manifold_;
  const Eigen::MatrixXcd* grid_;
  ElementReals scale_;
  double frequency_hz_;
  Sector sector_;
};

/// Two directions that explain Q together.
struct Pair {
  double first_deg = 0.0;
  double second_deg = 0.0;
  double explained = 0.0;  // trace of the projection of Q on both
};

/// The maximum of the trace over two directions, by alternating projection from the strongest
/// direction and the best partner for it (I. Ziskind, M. Wax, IEEE Trans. ASSP 36 (1988) 1553).
/// That is the maximum-likelihood pair for given waveforms; coherent ones too.
Pair best_pair(const Spectrum& spectrum, const ElementMatrix& q, double start_deg);

}  // namespace fixwright::agent::array
