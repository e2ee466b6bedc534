/// Occupied and x-dB bandwidth against closed forms (sources in data/), from exact spectra and from
/// signals in noise through the whole detector.

#include <fftw3.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <random>

#include "station_agent/detect/spectrum_measure.hpp"
#include "tests/published/table.hpp"
#include "tests/unit/station_agent/detect/air.hpp"

namespace fixwright::agent::detect {
namespace {

constexpr double kPi = std::numbers::pi;

double factor(const std::string& shape, const std::string& quantity) {
  for (const auto& row : published::table("bandwidth_closed_forms.csv")) {
    if (row.text("shape") == shape && row.text("quantity") == quantity) {
      return row.number("factor");
    }
  }
  throw std::runtime_error("no row for " + shape + " " + quantity);
}

/// Power density at f, in units of the shape's own scale.
double density(const std::string& shape, double f) {
  if (shape == "rectangle") {
    return std::abs(f) <= 0.5 ? 1.0 : 0.0;
  }
  if (shape == "gaussian") {
    return std::exp(-0.5 * f * f);
  }
  const double below = 1.0 - 16.0 * f * f;
  // At f = R/4 both vanish; the limit is pi/4.
  const double lobe = std::abs(below) < 1e-6 ? kPi / 4.0 : std::cos(2.0 * kPi * f) / below;
  return lobe * lobe;
}

/// The power of each bin, the density integrated over it, on a floor that is far below.
SpectrumMeasure measure_exact(const std::string& shape, double scale_bins, std::size_t bins) {
  std::vector<float> power(bins);
  for (std::size_t k = 0; k < bins; ++k) {
    double sum = 0.0;
    for (int i = 0; i < 20; ++i) {
      const double place = static_cast<double>(k) + (i + 0.5) / 20.0 - 0.5;
      sum += density(shape, (place - 0.5 * static_cast<double>(bins)) / scale_bins) / 20.0;
    }
    power[k] = static_cast<float>(sum + 1e-8);
  }
  return measure_spectrum(power, 1e-8, 1e4, {});
}

TEST(OccupiedBandwidth, OfExactSpectraIsThatOfTheClosedForm) {
  // The tolerance is what a straight line within a bin can be wrong by: a hundredth of a bin; of
  // MSK, whose skirts fall slowly, what lies outside the 2000 bins: under 1e-5 of the power.
  const auto rectangle = measure_exact("rectangle", 400.0, 2000);
  EXPECT_NEAR(rectangle.occupied.value(), 400.0 * factor("rectangle", "occupied"), 0.02);
  const auto gaussian = measure_exact("gaussian", 80.0, 2000);
  EXPECT_NEAR(gaussian.occupied.value(), 80.0 * factor("gaussian", "occupied"), 0.02);
  const auto msk = measure_exact("msk", 200.0, 2000);
  EXPECT_NEAR(msk.occupied.value(), 200.0 * factor("msk", "occupied"), 0.1);  // 1.182: 4 digits
}

TEST(XdbBandwidth, OfAnExactGaussianIsThatOfTheClosedForm) {
  const auto gaussian = measure_exact("gaussian", 80.0, 2000);
  EXPECT_NEAR(gaussian.xdb_width.value(), 80.0 * factor("gaussian", "xdb26"), 0.05);
}

TEST(OccupiedBandwidth, CentreIsTheCentreOfGravity) {
  EXPECT_NEAR(measure_exact("gaussian", 80.0, 2000).centre, 1000.0, 1e-3);
}

constexpr std::size_t kFrames = 480'000;  // 2 s
using Wave = std::vector<std::complex<float>>;

/// Noise with the given density and mean power 1: a random spectrum, transformed.
Wave shaped_noise(const std::string& shape, double scale_hz) {
  Wave wave(kFrames);
  std::mt19937_64 random(21);
  std::normal_distribution<float> normal;
  double power = 0.0;
  for (std::size_t k = 0; k < kFrames; ++k) {
    const double bin = static_cast<double>(k) - (k < kFrames / 2 ? 0.0 : double{kFrames});
    const double f_hz = bin * air::kRate_hz / kFrames;
    const auto amplitude = static_cast<float>(std::sqrt(density(shape, f_hz / scale_hz)));
    wave[k] = amplitude * std::complex<float>(normal(random), normal(random));
    power += std::norm(wave[k]);
  }
  auto* raw = reinterpret_cast<fftwf_complex*>(wave.data());
  fftwf_plan plan = fftwf_plan_dft_1d(kFrames, raw, raw, FFTW_BACKWARD, FFTW_ESTIMATE);
  fftwf_execute(plan);
  fftwf_destroy_plan(plan);
  for (auto& x : wave) {
    x /= static_cast<float>(std::sqrt(power));
  }
  return wave;
}

/// Random bits; in each the phase turns a quarter of a circle one way or the other.
Wave msk(double bits_per_s) {
  Wave wave(kFrames);
  std::mt19937_64 random(22);
  const auto per_bit = static_cast<std::size_t>(std::llround(air::kRate_hz / bits_per_s));
  double phase = 0.0;
  double step = 0.0;
  for (std::size_t f = 0; f < kFrames; ++f) {
    if (f % per_bit == 0) {
      step = ((random() & 1U) != 0 ? 0.5 : -0.5) * kPi / static_cast<double>(per_bit);
    }
    wave[f] = std::complex<float>(std::polar(1.0, phase));
    phase += step;
  }
  return wave;
}

/// The one look that the detector makes of the wave at -20 dBFS, 40 dB over the band's noise, with
/// a narrower channel beside it that makes the bins 469 Hz wide.
ChannelLook look_at(const Wave& wave) {
  DetectorConfig c = air::config({0.0}, 110e3, 2);
  c.channels.push_back({air::kCentre_hz + 100e3, 12.5e3});
  c.rules.integration = std::chrono::seconds{5};
  air::Player p(c);
  p.signals = {[&](double t, std::size_t) -> std::complex<double> {
    const auto f = static_cast<std::size_t>(std::llround((t - 0.05) * air::kRate_hz));
    return t >= 0.05 && f < kFrames ? 0.1 * std::complex<double>(wave[f]) : 0.0;
  }};
  p.play(2.2);
  for (const ChannelLook& look : p.looks) {
    if (look.channel == 0) {
      EXPECT_NEAR(look.level_dbfs, -20.0, 0.2);
      EXPECT_NEAR(look.frequency_hz, air::kCentre_hz, 100.0);
      return look;
    }
  }
  ADD_FAILURE() << "no look";
  return {};
}

// Through the detector Hann's window smears each edge over a bin of 469 Hz; that is the tolerance
// of each end, but half of it where the spectrum falls softly.
TEST(OccupiedBandwidth, OfABandOfNoiseThroughTheDetector) {
  const ChannelLook look = look_at(shaped_noise("rectangle", 40e3));
  EXPECT_NEAR(look.bandwidth_hz.value(), 40e3 * factor("rectangle", "occupied"), 469.0);
}

TEST(OccupiedBandwidth, OfGaussianNoiseThroughTheDetector) {
  const ChannelLook look = look_at(shaped_noise("gaussian", 10e3));
  EXPECT_NEAR(look.bandwidth_hz.value(), 10e3 * factor("gaussian", "occupied"), 469.0);
  // The maximum of 40 bins that scatter by 2 % is 0.3 dB high; 30 dB a sigma at the skirts.
  EXPECT_NEAR(look.bandwidth_xdb_hz.value(), 10e3 * factor("gaussian", "xdb26"), 600.0);
}

TEST(OccupiedBandwidth, OfMskThroughTheDetector) {
  const ChannelLook look = look_at(msk(30e3));
  EXPECT_NEAR(look.bandwidth_hz.value(), 30e3 * factor("msk", "occupied"), 469.0);
}

}  // namespace
}  // namespace fixwright::agent::detect
