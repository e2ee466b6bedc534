#include "station_agent/source/iq/scene/waveform.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>
#include <vector>

namespace fixwright::agent::scene {

namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;

struct Tone {
  double frequency_hz;
  double share;  // of the deviation
};
// Within the 300 to 3000 Hz of telephone speech; no common factor, so that it does not repeat.
constexpr std::array<Tone, 5> kSpeech{
    {{353.0, 0.30}, {619.0, 0.25}, {1129.0, 0.20}, {1733.0, 0.15}, {2617.0, 0.10}}};

std::complex<float> on_circle(double phase) {
  const auto p = static_cast<float>(phase);
  return {std::cos(p), std::sin(p)};
}

class Carrier final : public Waveform {
 public:
  void fill(std::span<std::complex<float>> out) override {
    std::fill(out.begin(), out.end(), std::complex<float>(1.0F, 0.0F));
  }
};

class Fm final : public Waveform {
 public:
  Fm(const Signal& signal, double rate_hz, Chance chance) {
    const bool one = signal.tone_hz > 0.0;
    for (const Tone& t : kSpeech) {
      const Tone tone = one ? Tone{signal.tone_hz, 1.0} : t;
      voices_.push_back({std::polar(1.0, kTurn * chance.uniform()),
                         std::polar(1.0, kTurn * tone.frequency_hz / rate_hz),
                         tone.share * signal.deviation_hz / tone.frequency_hz});
      if (one) break;
    }
  }

  void fill(std::span<std::complex<float>> out) override {
    for (auto& sample : out) {
      double phase = 0.0;
      for (Voice& v : voices_) {
        phase += v.index * v.now.imag();
        v.now *= v.step;
      }
      sample = on_circle(phase);
    }
    for (Voice& v : voices_) v.now /= std::abs(v.now);
  }

 private:
  struct Voice {
    std::complex<double> now;
    std::complex<double> step;
    double index;  // deviation over frequency, radians
  };
  std::vector<Voice> voices_;
};

/// Continuous-phase FSK: frequency is a sum of pulses, one a symbol. The Gaussian pulse is
/// GMSK's: K. Murota, K. Hirade, IEEE Trans. Commun. 29 (1981) 1044.
class Fsk final : public Waveform {
 public:
  Fsk(const Signal& signal, double rate_hz, Chance chance)
      : chance_(chance),
        levels_(signal.levels),
        symbols_a_frame_(signal.symbol_rate_hz / rate_hz),
        radians_a_frame_(kTurn * signal.deviation_hz / rate_hz) {
    for (std::size_t i = 0; i < pulse_.size(); ++i) {
      const double t = static_cast<double>(i) / kSteps - kSymbols / 2.0;  // symbols from the middle
      pulse_[i] = pulse(t, signal.bt);
    }
    for (double& s : symbols_) s = draw();
  }

  void fill(std::span<std::complex<float>> out) override {
    for (auto& sample : out) {
      sample = on_circle(phase_);
      phase_ = std::remainder(phase_ + radians_a_frame_ * frequency(), kTurn);
      position_ += symbols_a_frame_;
      if (position_ >= 1.0) next_symbol();
    }
  }

 private:
  static constexpr std::size_t kSymbols = 5;  // length of the pulse; at BT 0.3 1e-5 lies beyond
  static constexpr std::size_t kSteps = 64;   // of the table, a symbol

  static double pulse(double t, double bt) {
    if (bt <= 0.0) return t >= -0.5 && t < 0.5 ? 1.0 : 0.0;
    const double a = std::numbers::pi * bt * std::sqrt(2.0 / std::numbers::ln2);
    return 0.5 * (std::erf(a * (t + 0.5)) - std::erf(a * (t - 0.5)));
  }

  double draw() {
    const auto n = static_cast<double>(chance_.bits() % static_cast<std::uint64_t>(levels_));
    return 2.0 * n / (levels_ - 1) - 1.0;  // -1, 1 or -1, -1/3, 1/3, 1
  }

  /// Of the outer level: -1 to 1. symbols_[0] is the newest.
  [[nodiscard]] double frequency() const {
    const auto step = static_cast<std::size_t>(position_ * kSteps);
    double sum = 0.0;
    for (std::size_t i = 0; i < kSymbols; ++i) sum += symbols_[i] * pulse_[i * kSteps + step];
    return sum;
  }

  void next_symbol() {
    position_ -= 1.0;
    std::rotate(symbols_.begin(), symbols_.end() - 1, symbols_.end());
    symbols_.front() = draw();
  }

  Chance chance_;
  int levels_;
  double symbols_a_frame_;
  double radians_a_frame_;
  double position_ = 0.0;  // within the symbol, [0, 1)
  double phase_ = 0.0;
  std::array<double, kSymbols> symbols_{};
  std::array<double, kSymbols * kSteps> pulse_{};
};

/// White noise at the signal's own bandwidth, brought to the rate by a windowed sinc: flat, with
/// edges an eighth of the width.
class Noise final : public Waveform {
 public:
  Noise(const Signal& signal, double rate_hz, Chance chance)
      : chance_(chance), values_a_frame_(signal.bandwidth_hz / rate_hz) {
    assert(values_a_frame_ <= 1.0);
    for (std::size_t step = 0; step < kSteps; ++step) {
      double power = 0.0;
      for (std::size_t i = 0; i < kTaps; ++i) {
        const double x = static_cast<double>(step) / kSteps + static_cast<double>(i) - kTaps / 2.0;
        table_[step][i] = static_cast<float>(tap(x));
        power += tap(x) * tap(x);
      }
      for (float& t : table_[step]) t /= static_cast<float>(std::sqrt(power));
    }
    for (auto& v : values_) v = chance_.complex_normal();
  }

  void fill(std::span<std::complex<float>> out) override {
    for (auto& sample : out) {
      const auto& taps = table_[static_cast<std::size_t>(position_ * kSteps)];
      std::complex<float> sum;
      for (std::size_t i = 0; i < kTaps; ++i) sum += taps[i] * values_[(newest_ + i) % kTaps];
      sample = sum;
      position_ += values_a_frame_;
      if (position_ < 1.0) continue;
      position_ -= 1.0;
      newest_ = (newest_ + kTaps - 1) % kTaps;
      values_[newest_] = chance_.complex_normal();
    }
  }

 private:
  static constexpr std::size_t kTaps = 16;
  static constexpr std::size_t kSteps = 256;

  static double tap(double x) {
    const double edge = kTaps / 2.0;
    if (std::abs(x) >= edge) return 0.0;
    const double window = 0.5 + 0.5 * std::cos(std::numbers::pi * x / edge);
    const double sinc = x == 0.0 ? 1.0 : std::sin(std::numbers::pi * x) / (std::numbers::pi * x);
    return window * sinc;
  }

  Chance chance_;
  double values_a_frame_;
  double position_ = 0.0;
  std::size_t newest_ = 0;
  std::array<std::complex<float>, kTaps> values_{};
  std::array<std::array<float, kTaps>, kSteps> table_{};
};

}  // namespace

std::unique_ptr<Waveform> make_waveform(const Signal& signal, double rate_hz, Chance chance) {
  switch (signal.modulation) {
    case Modulation::fm:
      return std::make_unique<Fm>(signal, rate_hz, chance);
    case Modulation::fsk:
      return std::make_unique<Fsk>(signal, rate_hz, chance);
    case Modulation::noise:
      return std::make_unique<Noise>(signal, rate_hz, chance);
    case Modulation::carrier:
      break;
  }
  return std::make_unique<Carrier>();
}

double nominal_bandwidth_hz(const Signal& signal) {
  switch (signal.modulation) {
    case Modulation::fm:
      return 2.0 * (signal.deviation_hz +
                    (signal.tone_hz > 0.0 ? signal.tone_hz : kSpeech.back().frequency_hz));
    case Modulation::fsk:
      return 2.0 * (signal.deviation_hz + signal.symbol_rate_hz / 2.0);
    case Modulation::noise:
      return signal.bandwidth_hz;
    case Modulation::carrier:
      break;
  }
  return 0.0;
}

}  // namespace fixwright::agent::scene
