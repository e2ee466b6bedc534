#include "station_agent/source/iq/analytic.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace fixwright::agent::iq {

namespace {

// 4 kQuarter + 3 taps; the odd ones but the middle are 0. Kaiser's rule for 60 dB and a
// transition of 0.04 of the rate asks for 90 (J. F. Kaiser, 1974: N = (A - 7.95) / (2.285 dw)).
constexpr std::size_t kQuarter = 22;
constexpr std::size_t kMiddle = 2 * kQuarter + 1;
constexpr double kBeta = 5.653;  // 0.1102 (A - 8.7) at A = 60 dB

/// Modified Bessel function of the first kind, order 0, by its power series.
double bessel_i0(double x) {
  double term = 1.0;
  double sum = 1.0;
  for (int k = 1; term > 1e-12 * sum; ++k) {
    term *= (x / (2.0 * k)) * (x / (2.0 * k));
    sum += term;
  }
  return sum;
}

/// Twice the half-band filter's tap, so that one of the two halves of a real carrier keeps the
/// carrier's amplitude.
double tap(std::size_t k) {
  const double n = static_cast<double>(k) - static_cast<double>(kMiddle);
  const double edge = n / static_cast<double>(kMiddle + 1);
  const double window = bessel_i0(kBeta * std::sqrt(1.0 - edge * edge)) / bessel_i0(kBeta);
  return 2.0 * window * std::sin(std::numbers::pi * n / 2.0) / (std::numbers::pi * n);
}

}  // namespace

AnalyticFilter::AnalyticFilter() : taps_(kMiddle + 1) {
  for (std::size_t i = 0; i < taps_.size(); ++i) {
    taps_[i] = static_cast<float>((i % 2 == 0 ? 1.0 : -1.0) * tap(2 * i));
  }
  reset();
}

std::size_t AnalyticFilter::delay_frames() { return kMiddle; }

void AnalyticFilter::reset() {
  even_.assign(taps_.size() - 1, 0.0F);
  odd_.assign(taps_.size(), 0.0F);
  negative_ = false;
}

// With x the input, h the taps and c the middle, output m is the sum over k of
// h[k] x[2m-k] exp(-j pi (2m-k) / 2). Even k leave the real part, k = c the imaginary one.
void AnalyticFilter::run(std::span<const float> in, std::complex<float>* out) {
  assert(in.size() % 2 == 0);
  const std::size_t n = in.size() / 2;
  const std::size_t past = taps_.size() - 1;
  even_.resize(past + n);
  odd_.resize(past + 1 + n);
  for (std::size_t m = 0; m < n; ++m) {
    even_[past + m] = in[2 * m];
    odd_[past + 1 + m] = in[2 * m + 1];
  }
  constexpr float kImaginarySign = kQuarter % 2 == 0 ? 1.0F : -1.0F;
  for (std::size_t m = 0; m < n; ++m) {
    float real = 0.0F;
    for (std::size_t i = 0; i < taps_.size(); ++i) real += taps_[i] * even_[past + m - i];
    // x[2m - c] is the odd sample of pair m - kQuarter - 1.
    const float imaginary = kImaginarySign * odd_[past + m - kQuarter];
    const float sign = negative_ ? -1.0F : 1.0F;
    out[m] = {sign * real, sign * imaginary};
    negative_ = !negative_;
  }
  std::copy(even_.end() - static_cast<std::ptrdiff_t>(past), even_.end(), even_.begin());
  std::copy(odd_.end() - static_cast<std::ptrdiff_t>(past + 1), odd_.end(), odd_.begin());
}

}  // namespace fixwright::agent::iq
