// The modulations' spectra against closed forms.
#include <fftw3.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "station_agent/source/iq/scene/waveform.hpp"

namespace fixwright::agent::scene {
namespace {

constexpr double kRate_hz = 200'000.0;

std::vector<std::complex<float>> made(const Signal& signal, std::size_t frames) {
  std::vector<std::complex<float>> samples(frames);
  make_waveform(signal, kRate_hz, Chance(7, "emitter", "OSM-12"))->fill(samples);
  return samples;
}

/// Mean power of each bin, Hann window, half overlapped; bin 0 is the lowest frequency.
std::vector<double> spectrum(std::vector<std::complex<float>> samples, std::size_t bins) {
  std::vector<double> power(bins);
  std::vector<std::complex<float>> window(bins);
  auto* data = reinterpret_cast<fftwf_complex*>(window.data());
  fftwf_plan plan =
      fftwf_plan_dft_1d(static_cast<int>(bins), data, data, FFTW_FORWARD, FFTW_ESTIMATE);
  for (std::size_t at = 0; at + bins <= samples.size(); at += bins / 2) {
    for (std::size_t i = 0; i < bins; ++i) {
      const double turn =
          2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(bins);
      window[i] = samples[at + i] * static_cast<float>(0.5 - 0.5 * std::cos(turn));
    }
    fftwf_execute(plan);
    for (std::size_t i = 0; i < bins; ++i) power[(i + bins / 2) % bins] += std::norm(window[i]);
  }
  fftwf_destroy_plan(plan);
  return power;
}

/// Rec. ITU-R SM.443: half of 1 - share of the power on each side.
double occupied_hz(const Signal& signal, double share = 0.99, std::size_t bins = 4096) {
  const std::vector<double> power = spectrum(made(signal, 1'000'000), bins);
  double total = 0.0;
  for (const double p : power) total += p;
  const auto edge = [&](double part) {  // bins from the bottom that hold this part
    double sum = 0.0;
    for (std::size_t i = 0; i < bins; ++i) {
      if (sum + power[i] >= part * total) {
        return static_cast<double>(i) + (part * total - sum) / power[i];
      }
      sum += power[i];
    }
    return static_cast<double>(bins);
  };
  return (edge(0.5 + share / 2.0) - edge(0.5 - share / 2.0)) * kRate_hz / static_cast<double>(bins);
}

Signal fsk(double symbol_rate_hz, double deviation_hz, int levels, double bt) {
  Signal s;
  s.modulation = Modulation::fsk;
  s.symbol_rate_hz = symbol_rate_hz;
  s.deviation_hz = deviation_hz;
  s.levels = levels;
  s.bt = bt;
  return s;
}

TEST(SceneWaveform, EveryModulationHasMeanPowerOne) {
  Signal fm;
  fm.modulation = Modulation::fm;
  fm.deviation_hz = 2500.0;
  Signal noise;
  noise.modulation = Modulation::noise;
  noise.bandwidth_hz = 12'000.0;
  for (const Signal& s : {Signal{}, fm, fsk(9600.0, 2400.0, 2, 0.5), noise}) {
    double power = 0.0;
    const auto samples = made(s, 400'000);
    for (const auto& x : samples) power += std::norm(x);
    // The noise has 24 000 independent values in it: 0.65 %, four of them.
    EXPECT_NEAR(power / 400'000.0, 1.0, s.modulation == Modulation::noise ? 0.026 : 1e-5);
  }
}

TEST(SceneWaveform, MskOccupies1182OfItsRate) {
  // 99 % of MSK lies within 1.182 R: from its spectrum (cos(2 pi f T) / (1 - 16 f^2 T^2))^2.
  const double rate = 8000.0;
  // Window of 49 Hz bins smears by two of them: 1.2 %.
  EXPECT_NEAR(occupied_hz(fsk(rate, rate / 4.0, 2, 0.0)), 1.182 * rate, 0.012 * 1.182 * rate);
}

TEST(SceneWaveform, GmskOccupiesWhatMurotaAndHiradeComputed) {
  // K. Murota, K. Hirade, IEEE Trans. Commun. 29 (1981) 1044, table of 99 % bandwidths: BT 0.25:
  // 0.86 R, BT 0.5: 1.04 R (from memory); printed to two digits, and 1.2 % of smear as above.
  const double rate = 8000.0;
  EXPECT_NEAR(occupied_hz(fsk(rate, rate / 4.0, 2, 0.25)) / rate, 0.86, 0.015);
  EXPECT_NEAR(occupied_hz(fsk(rate, rate / 4.0, 2, 0.5)) / rate, 1.04, 0.018);
}

TEST(SceneWaveform, NoiseFillsItsBandwidthEvenly) {
  Signal noise;
  noise.modulation = Modulation::noise;
  noise.bandwidth_hz = 12'000.0;
  // A rectangle holds 99 % in 0.99 of its width; the edges here are an eighth of it, and what
  // lies beyond the half-power points stretches it by at most that.
  EXPECT_NEAR(occupied_hz(noise), 0.99 * 12'000.0, 0.08 * 12'000.0);
  const std::vector<double> power = spectrum(made(noise, 1'000'000), 256);
  // Bins of 781 Hz: 5 on each side of the middle are well inside.
  const auto [low, high] = std::minmax_element(power.begin() + 123, power.begin() + 134);
  EXPECT_LT(10.0 * std::log10(*high / *low), 1.0);  // 60 000 values over 15 bins: 0.07 dB each
  EXPECT_LT(10.0 * std::log10(power[128 + 26] / power[128]), -50.0);  // 20 kHz off
}

/// Power within 100 Hz of a frequency, of all.
double share_at(const std::vector<double>& power, double frequency_hz) {
  const double bin_hz = kRate_hz / static_cast<double>(power.size());
  const auto middle = static_cast<std::ptrdiff_t>(std::llround(frequency_hz / bin_hz)) +
                      static_cast<std::ptrdiff_t>(power.size() / 2);
  double all = 0.0;
  for (const double p : power) all += p;
  double near = 0.0;
  for (auto i = middle - 4; i <= middle + 4; ++i) near += power[static_cast<std::size_t>(i)];
  return near / all;
}

TEST(SceneWaveform, LinesOfFmByOneToneAreBesselsOfItsIndex) {
  // Index 2.4048: the first zero of J0; J1 there 0.5191, J2 0.4318 (Abramowitz and Stegun,
  // tables 9.1 and 9.5). A line's power is its square.
  Signal fm;
  fm.modulation = Modulation::fm;
  fm.tone_hz = 1000.0;
  fm.deviation_hz = 2404.8;
  const std::vector<double> power = spectrum(made(fm, 200'000), 8192);
  EXPECT_LT(share_at(power, 0.0), 1e-5);
  EXPECT_NEAR(share_at(power, 1000.0), 0.5191 * 0.5191, 2e-4);
  EXPECT_NEAR(share_at(power, -1000.0), 0.5191 * 0.5191, 2e-4);
  EXPECT_NEAR(share_at(power, 2000.0), 0.4318 * 0.4318, 2e-4);
}

TEST(SceneWaveform, SpeechOnFmStaysWithinCarsonsBandwidth) {
  Signal fm;
  fm.modulation = Modulation::fm;
  fm.deviation_hz = 2500.0;
  EXPECT_DOUBLE_EQ(nominal_bandwidth_hz(fm), 2.0 * (2500.0 + 2617.0));
  EXPECT_LT(occupied_hz(fm, 0.98), nominal_bandwidth_hz(fm));  // Carson: about 98 %
}

TEST(SceneWaveform, FourLevelFskStandsOnFourFrequencies) {
  const auto samples = made(fsk(4800.0, 1944.0, 4, 0.0), 400'000);
  std::vector<int> at(4);
  int between = 0;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    const double hz =
        std::arg(samples[i] * std::conj(samples[i - 1])) * kRate_hz / (2.0 * std::numbers::pi);
    const double level = (hz / 1944.0 + 1.0) * 1.5;  // 0, 1, 2, 3
    const auto nearest = std::clamp<std::ptrdiff_t>(std::llround(level), 0, 3);
    std::abs(level - static_cast<double>(nearest)) < 0.01 ? ++at[static_cast<std::size_t>(nearest)]
                                                          : ++between;
  }
  EXPECT_EQ(between, 0);
  // 9600 symbols, a quarter each; spread of a share 0.44 %, four of them.
  for (const int n : at) EXPECT_NEAR(n / 400'000.0, 0.25, 0.018);
}

TEST(SceneWaveform, WhatIsMadeDoesNotDependOnHowItIsAskedFor) {
  Signal noise;
  noise.modulation = Modulation::noise;
  noise.bandwidth_hz = 12'000.0;
  for (const Signal& s : {noise, fsk(9600.0, 2400.0, 2, 0.5)}) {
    const auto whole = made(s, 1000);
    std::vector<std::complex<float>> parts(1000);
    const auto waveform = make_waveform(s, kRate_hz, Chance(7, "emitter", "OSM-12"));
    waveform->fill({parts.data(), 333});
    waveform->fill({parts.data() + 333, 667});
    EXPECT_EQ(whole, parts);
  }
}

}  // namespace
}  // namespace fixwright::agent::scene
