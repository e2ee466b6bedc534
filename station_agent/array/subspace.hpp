#pragma once
/// The eigenvectors of a look's covariance, and how many sources its eigenvalues speak of.

#include "station_agent/array/elements.hpp"

namespace fixwright::agent::array {

/// What a covariance consists of. Eigenvalues ascend.
struct Subspace {
  ElementReals eigenvalues;
  ElementMatrix vectors;
  int sources = 0;     // 0 to elements - 1
  double noise = 1.0;  // mean of the eigenvalues that are noise

  [[nodiscard]] double largest() const { return eigenvalues[eigenvalues.size() - 1]; }
  [[nodiscard]] ElementVector principal() const { return vectors.col(vectors.cols() - 1); }
  /// Projector on the space that the sources span.
  [[nodiscard]] ElementMatrix signal_projector() const;
};

/// Number of sources by the minimum description length (M. Wax, T. Kailath, "Detection of signals
/// by information theoretic criteria", IEEE Trans. ASSP-33 (1985) 387), which needs to know that
/// the noise is the same in all elements, not how strong it is. A further source must also
/// stand 1 dB above the noise and within 30 dB of the strongest: below that unequal noise and
/// unequal receivers feign sources once snapshots are many.
/// \param r          Hermitian, scaled so that the noise is alike in all elements.
/// \param snapshots  that it is the mean of.
Subspace decompose(const ElementMatrix& r, double snapshots);

/// The number of sources alone.
int count_sources(const ElementReals& ascending_eigenvalues, double snapshots);

}  // namespace fixwright::agent::array
