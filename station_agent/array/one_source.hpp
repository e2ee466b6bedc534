#pragma once
/// A look explained by one plane wave.

#include <array>

#include "station_agent/array/look.hpp"
#include "station_agent/array/spectrum.hpp"

namespace fixwright::agent::array {

/// How wrong the manifold usually is.
struct ModelError {
  double element_rad = 0.0;  // rms per element, in phase, and as much in gain
  double floor_deg = 0.0;    // what that makes of an azimuth, calibrated
};

struct OneSource {
  PeakList peaks;  // refined; the first is the estimate
  double azimuth_deg = 0.0;
  double noise_sigma_deg = 0.0;   // the bound at the measured SNR
  double excess_sigma_deg = 0.0;  // of what neither noise nor the usual model error explains
  double snr = 0.0;               // per element, mean
  double explained = 0.0;         // share of the received vector that lies along the wave's
  double misfit_deg = 0.0;        // the rest as rms error per element
  double allowed_spread = 0.0;    // of the rest, per real degree of freedom: noise and model
  bool fits = false;              // the rest is what noise and the model error may leave
};

/// For one source the maximum of the spectrum is the maximum-likelihood estimate.
OneSource fit_one(const Look& look, const Spectrum& spectrum, const ModelError& error);

/// The snapshots that a manifold error leaves: more of them would only repeat it.
double effective_snapshots(const Look& look, const OneSource& one, const ModelError& error);

/// Relative likelihood of each peak being the source, summing to 1: with the signal's power at its
/// best, exp(K (g - ln g)) for the spectrum's value g over the noise.
struct Likelihoods {
  std::array<double, kMaxPeaks> weight{};
};
Likelihoods likelihoods(const PeakList& peaks, double snapshots);

/// Whether a sum of squares, in units of its variance per degree of freedom, may be chance: under
/// the 99.9 % quantile of chi-square (approximation of E. B. Wilson, M. M. Hilferty, PNAS 17
/// (1931) 684).
bool may_be_chance(double sum, int degrees_of_freedom);

}  // namespace fixwright::agent::array
