#pragma once
/// A look explained by two plane waves: two transmitters, or one and its reflection.

#include "station_agent/array/one_source.hpp"

namespace fixwright::agent::array {

struct TwoSources {
  bool found = false;
  double strong_deg = 0.0;
  double weak_deg = 0.0;
  double strong_sigma_deg = 0.0;  // the bound; for a reflection the model error counts too
  double weak_share = 0.0;        // of both powers, (0, 0.5]
};

/// Independent sources, when the eigenvalues speak of two or more: by MUSIC (R. O. Schmidt, IEEE
/// Trans. AP-34 (1986) 276), refined to the maximum-likelihood pair; found, when the pair explains
/// most of the signal.
/// A reflection, when one source doesn't fit: the pair that explains the principal eigenvector;
/// found, when it fits and gives the stronger ray's azimuth better than one source would.
/// It needs no spatial smoothing, which only equal steps on a line allow and which costs aperture;
/// there it is no worse (tests/unit/station_agent/array/coherent_line_test.cpp). Phase modes of a
/// circle were not taken either: five elements have too few of them.
/// Needs four elements: with three any look is explained by some pair.
TwoSources fit_two(const Look& look, const Spectrum& spectrum, const OneSource& one,
                   const ModelError& error);

/// Other directions with the same steering vector, which nothing can tell from this one.
PeakList images_of(const Spectrum& spectrum, double azimuth_deg);

}  // namespace fixwright::agent::array
