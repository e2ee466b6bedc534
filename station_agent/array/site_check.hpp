#pragma once
/// What an array can and can't do, before it hears anything: for the host of a site.

#include <string_view>
#include <vector>

#include "station_agent/array/manifold.hpp"

namespace fixwright::agent::array {

/// By the spacing of neighbours in wavelengths. Common practice, no source: 0.4 to 0.45 is good,
/// below 0.5 acceptable. Below 0.2 the bound on a circle of five is 2.4 times that at 0.47, and the
/// rays of a reflection merge: small.
enum class SpacingVerdict { small, acceptable, good, wide };
std::string_view word(SpacingVerdict verdict);

struct SpacingCheck {
  double frequency_hz = 0.0;
  double wavelengths = 0.0;  // between nearest neighbours
  SpacingVerdict verdict = SpacingVerdict::good;
};
SpacingCheck check_spacing(const ArrayGeometry& geometry, double frequency_hz);

/// The direction that is taken most easily for another one.
struct Ambiguity {
  double level = 0.0;  // |a^H b| / (|a| |b|): 1 means that nothing can tell them apart
  double azimuth_deg = 0.0;
  double looks_like_deg = 0.0;
};
/// Over all pairs of whole degrees outside each other's main lobe; level 0 where there is none.
Ambiguity worst_ambiguity(const Manifold& manifold, double frequency_hz);

/// What a cable that is longer than the array believes does to azimuths.
struct CableError {
  int element = 0;         // from 0
  double rms_deg = 0.0;    // over the circle
  double worst_deg = 0.0;  // largest absolute error
};
/// One entry an element. \param velocity_factor  of the cable, 0.66 for solid polyethylene (common
/// practice, no source).
std::vector<CableError> cable_errors(const Manifold& manifold, double frequency_hz,
                                     double extra_m = 0.01, double velocity_factor = 0.66);

}  // namespace fixwright::agent::array
