#pragma once
/// The complex envelope of a transmission: mean power 1, on its own carrier.

#include <complex>
#include <memory>
#include <span>

#include "station_agent/source/iq/scene/chance.hpp"

namespace fixwright::agent::scene {

enum class Modulation {
  carrier,
  fm,     // by one tone, or by five that come and go like speech
  fsk,    // two or four levels with continuous phase: MSK, GMSK and 4-level FSK are among them
  noise,  // flat within a bandwidth
};

struct Signal {
  Modulation modulation = Modulation::carrier;
  double deviation_hz = 0.0;    // fm: peak; fsk: of the outer level
  double tone_hz = 0.0;         // fm: 0 is the five of speech
  double symbol_rate_hz = 0.0;  // fsk
  int levels = 2;               // fsk: 2 or 4
  double bt = 0.0;              // fsk: Gaussian filter's bandwidth times symbol; 0: none
  double bandwidth_hz = 0.0;    // noise: from edge to edge
};

/// Samples in order; what was made depends on the seed and how many came before, not on how they
/// were asked for.
class Waveform {
 public:
  Waveform() = default;
  Waveform(const Waveform&) = delete;
  Waveform& operator=(const Waveform&) = delete;
  virtual ~Waveform() = default;
  virtual void fill(std::span<std::complex<float>> out) = 0;
};

/// \pre rate_hz > 0; the signal's rates and widths are positive and below rate_hz.
std::unique_ptr<Waveform> make_waveform(const Signal& signal, double rate_hz, Chance chance);

/// Width that holds most of the power, for the truth beside a recording. Carrier: 0. FM: Carson's
/// rule, 2 (deviation + highest tone), about 98 % (J. R. Carson, Proc. IRE 10 (1922) 57). FSK:
/// the same with half the symbol rate as tone, a rule of thumb. Noise: its own.
double nominal_bandwidth_hz(const Signal& signal);

}  // namespace fixwright::agent::scene
