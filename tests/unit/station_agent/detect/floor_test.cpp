/// The noise floor: what may move it and what may not.

#include <gtest/gtest.h>

#include "station_agent/detect/noise_floor.hpp"
#include "tests/unit/station_agent/detect/air.hpp"

namespace fixwright::agent::detect {
namespace {

using air::Player;

constexpr double kChannelNoise_dbfs = -60.0 - 12.83;

TEST(NoiseFloor, IsTheNoiseOfTheChannelsBandwidth) {
  Player p(air::config({-100e3, 0.0, 60e3}));
  p.play(1.0);
  for (const ChannelState& c : p.detector.channels()) {
    // 25 bins of 469 Hz make 11.7 kHz; the quartile of 128 bins is good to 2 % on one interval.
    EXPECT_NEAR(c.floor_dbfs, -60.0 + 10.0 * std::log10(26.0 / 512.0), 0.3);
  }
  for (const double noise_dbfs : p.detector.element_noise_dbfs()) {
    EXPECT_NEAR(noise_dbfs, -60.0, 0.3);
  }
}

TEST(NoiseFloor, QuartileOfGammaMeansMeetsTheExactOnes) {
  // Exact lower quartiles of the gamma distribution with shape n, over n: for n = 1
  // -ln(0.75) = 0.28768; for n = 5 and 10 half the 25 % point of chi-square with 10 and 20 degrees
  // of freedom, 6.7372 and 15.4518 (any table of chi-square; from memory, checked by integration).
  EXPECT_NEAR(lower_quartile_of_noise(1.0), 0.28768, 0.02 * 0.28768);
  EXPECT_NEAR(lower_quartile_of_noise(5.0), 0.5 * 6.7372 / 5.0, 2e-3);
  EXPECT_NEAR(lower_quartile_of_noise(10.0), 0.5 * 15.4518 / 10.0, 1e-3);
}

TEST(NoiseFloor, IsNotSwallowedByAContinuousCarrier) {
  Player p(air::config({20e3}));
  p.signals = {air::carrier(-55.0, 20e3)};  // 18 dB over the noise, before the first floor
  p.play(5.0);
  EXPECT_TRUE(p.detector.channels()[0].active);
  EXPECT_NEAR(p.detector.channels()[0].floor_dbfs, kChannelNoise_dbfs, 0.4);
  EXPECT_EQ(p.looks.size(), 24U);  // one each 0.2 s, the last not yet whole
}

/// A signal that fills its channel leaves no bin of it to see the noise in.
TEST(NoiseFloor, IsNotSwallowedBySignalsThatFillManyNeighbouringChannels) {
  std::vector<double> offsets_hz;
  for (int i = -4; i < 4; ++i) {
    offsets_hz.push_back((i + 0.5) * 12.5e3);
  }
  Player p(air::config(offsets_hz));
  std::mt19937_64 random(4);
  std::uniform_real_distribution<double> turn(0.0, 2.0 * std::numbers::pi);
  std::vector<std::complex<double>> wave(240);  // a millisecond, over and over
  for (int k = -47; k <= 47; ++k) {             // 95 carriers 1 kHz apart fill 100 kHz of the 240
    const double phase = turn(random);
    for (std::size_t f = 0; f < wave.size(); ++f) {
      wave[f] +=
          std::polar(1e-3, 2.0 * std::numbers::pi * k * static_cast<double>(f) / 240.0 + phase);
    }
  }
  p.signals = {[&](double t, std::size_t) {
    return wave[static_cast<std::size_t>(std::llround(t * air::kRate_hz)) % wave.size()];
  }};
  p.play(1.5);
  for (const ChannelState& c : p.detector.channels()) {
    EXPECT_TRUE(c.active);
    // Without the rule it is 22 dB too high. A third of the bins looked at are a signal's at first.
    EXPECT_NEAR(c.floor_dbfs, kChannelNoise_dbfs, 1.0);
  }
}

TEST(NoiseFloor, RecoversFromStepsOfTheNoiseWithinHalfASecond) {
  for (const double step_db : {10.0, -10.0}) {
    Player p(air::config({-40e3, 40e3}));
    p.play(0.6);
    p.noise_dbfs += step_db;
    p.play(0.5);
    for (const ChannelState& c : p.detector.channels()) {
      EXPECT_NEAR(c.floor_dbfs, kChannelNoise_dbfs + step_db, 0.4);
      EXPECT_FALSE(c.active);
    }
    // And what comes then is measured against the new floor.
    const double from = p.now_s();
    p.looks.clear();
    p.signals = {air::carrier(kChannelNoise_dbfs + step_db + 10.0, 41e3, from, from + 0.1)};
    p.play(0.2);
    ASSERT_EQ(p.looks.size(), 1U);
    EXPECT_EQ(p.looks[0].channel, 1U);
  }
}

TEST(NoiseFloor, RecoversWhereTheWatchedChannelsFillTheWholeBand) {
  std::vector<double> offsets_hz;
  for (int i = -9; i <= 9; ++i) {
    offsets_hz.push_back(i * 12.5e3);
  }
  Player p(air::config(offsets_hz));
  p.play(0.6);
  p.noise_dbfs += 10.0;
  p.play(0.6);
  for (const ChannelState& c : p.detector.channels()) {
    EXPECT_NEAR(c.floor_dbfs, kChannelNoise_dbfs + 10.0, 0.4);
    EXPECT_FALSE(c.active);
  }
}

TEST(NoiseFloor, ACrashOfStaticShorterThanTwoIntervalsDoesNotMoveIt) {
  Player p(air::config({40e3}));
  p.play(0.7);
  p.noise_dbfs += 20.0;
  p.play(0.08);
  p.noise_dbfs -= 20.0;
  for (int i = 0; i < 8; ++i) {
    p.play(0.05);
    EXPECT_NEAR(p.detector.channels()[0].floor_dbfs, kChannelNoise_dbfs, 0.5);
  }
}

TEST(FalseOpenings, NoneInTwentySecondsOfNoiseOnSixteenChannels) {
  // The step's power is a mean over 3 elements, 2 windows and about 26 / 1.94 independent bins:
  // gamma with shape 70 or more. To pass 3 dB (3 times the noise) then has a chance under 1e-40 a
  // step.
  std::vector<double> offsets_hz;
  for (int i = -8; i < 8; ++i) {
    offsets_hz.push_back((i + 0.5) * 14e3);
  }
  Player p(air::config(offsets_hz), 77);
  p.play(20.0);
  p.finish();
  EXPECT_TRUE(p.looks.empty());
}

/// Chance that a gamma variable of integer shape n and mean 1 passes x: the sum of a Poisson law.
double gamma_tail(int n, double x) {
  double term = std::exp(-n * x);
  double sum = term;
  for (int k = 1; k < n; ++k) {
    term *= n * x / k;
    sum += term;
  }
  return sum;
}

TEST(FalseOpenings, AreAsManyAsTheGammaLawSaysWhereThatCanBeCounted) {
  DetectorConfig c = air::config({-90e3, -60e3, -30e3, 30e3, 60e3, 90e3}, 12.5e3, 1);
  c.rules.open_snr_db = -3.0;  // signal over noise 0.5: the channel's power passes 1.5
  c.rules.close_snr_db = -4.0;
  c.rules.shortest = Duration{};
  c.rules.hang = Duration{};
  Player p(c, 78);
  p.play(60.0);
  const double steps = 60.0 / seconds(p.detector.step()) * 6.0;
  const double per_step = static_cast<double>(p.looks.size()) / steps;
  // Independent powers: 27 bins of which 1 + 2 (4/9 + 1/36) = 1.944 make one (Hann's window), and
  // two windows that share half. So the shape is near 2 * 27 / 1.944 * 0.97 = 27. Steps that follow
  // one another merge into one opening, and a floor that is 2 % off moves the tail by a third.
  EXPECT_GT(per_step, gamma_tail(31, 1.5) / 2.5);
  EXPECT_LT(per_step, gamma_tail(24, 1.5) * 2.5);
  RecordProperty("false_openings_per_step", std::to_string(per_step));
  RecordProperty("law", std::to_string(gamma_tail(27, 1.5)));
}

}  // namespace
}  // namespace fixwright::agent::detect
