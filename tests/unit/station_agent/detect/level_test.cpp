/// Level, SNR, frequency, covariance and snapshots of a look.

#include <gtest/gtest.h>

#include "tests/unit/station_agent/detect/air.hpp"

namespace fixwright::agent::detect {
namespace {

using air::Player;

constexpr double kChannelNoise_dbfs = -60.0 - 12.83;

TEST(DetectorLevel, IsLinearWithinHalfADecibelOver60Db) {
  for (double level_dbfs = -65.0; level_dbfs <= -4.9; level_dbfs += 5.0) {
    Player p(air::config({10e3}), 2);
    p.signals = {air::carrier(level_dbfs, 10.7e3, 0.05, 0.2)};
    p.play(0.3);
    ASSERT_EQ(p.looks.size(), 1U) << level_dbfs;
    EXPECT_NEAR(p.looks[0].level_dbfs, level_dbfs, 0.5);
    EXPECT_FALSE(p.looks[0].overload);
  }
}

TEST(DetectorLevel, OfABurstOfTwentyMillisecondsIsThatOfALongOne) {
  for (int i = 0; i < 10; ++i) {
    Player p(air::config({10e3}), 2);
    p.signals = {air::carrier(-50.0, 10.7e3, 0.05 + 0.0003 * i, 0.07 + 0.0003 * i)};
    p.play(0.15);
    ASSERT_EQ(p.looks.size(), 1U);
    EXPECT_NEAR(p.looks[0].level_dbfs, -50.0, 0.5);
  }
}

TEST(DetectorFrequency, OfACarrierIsGoodToAFiftiethOfABinAt20Db) {
  // A window of 2.1 ms and 0.2 s of it: the bound for one carrier, 3 elements, is 0.4 Hz
  // (D. C. Rife, R. R. Boorstyn, IEEE Trans. IT-20 (1974) 591); the centre of gravity of bins of
  // 469 Hz is some times worse, and a fiftieth of a bin is what we promise.
  double sum_squares = 0.0;
  for (int i = 0; i < 10; ++i) {
    const double offset_hz = 8e3 + 123.4 * i;
    Player p(air::config({10e3}), static_cast<unsigned>(i));
    p.signals = {air::carrier(kChannelNoise_dbfs + 20.0, offset_hz, 0.05, 0.25)};
    p.play(0.35);
    ASSERT_EQ(p.looks.size(), 1U);
    const double error_hz = p.looks[0].frequency_hz - air::kCentre_hz - offset_hz;
    EXPECT_NEAR(error_hz, 0.0, 0.02 * p.detector.bin_hz());
    sum_squares += error_hz * error_hz;
  }
  RecordProperty("rms_error_hz", std::to_string(std::sqrt(sum_squares / 10.0)));
}

TEST(DetectorChannels, SeveralAtOnceAreToldApart) {
  Player p(air::config({-60e3, -47.5e3, -35e3, 0.0, 12.5e3, 100e3}), 4);
  p.signals = {air::carrier(-20.0, -60e3, 0.05, 0.2), air::carrier(-55.0, -35e3, 0.1, 0.25),
               air::carrier(-40.0, 0.0, 0.06, 0.2), air::carrier(-50.0, 101e3, 0.08, 0.2)};
  p.play(0.4);
  ASSERT_EQ(p.looks.size(), 4U);
  std::vector<double> level_dbfs(6);
  for (const ChannelLook& look : p.looks) {
    level_dbfs[look.channel] = look.level_dbfs;
  }
  EXPECT_NEAR(level_dbfs[0], -20.0, 0.5);
  EXPECT_EQ(level_dbfs[1], 0.0);  // between two strong ones: nothing
  EXPECT_NEAR(level_dbfs[2], -55.0, 0.5);
  EXPECT_NEAR(level_dbfs[3], -40.0, 0.5);
  EXPECT_EQ(level_dbfs[4], 0.0);
  EXPECT_NEAR(level_dbfs[5], -50.0, 0.5);
}

TEST(DetectorChannels, ChannelsOverTheCentreAndAtTheBandsEndsWork) {
  for (const double offset_hz : {0.0, -6e3, 6.5e3, -113e3, 113e3}) {
    Player p(air::config({offset_hz}), 4);
    p.signals = {air::carrier(-40.0, offset_hz + 3e3, 0.05, 0.15)};
    p.play(0.25);
    ASSERT_EQ(p.looks.size(), 1U) << offset_hz;
    EXPECT_NEAR(p.looks[0].level_dbfs, -40.0, 0.2);
    EXPECT_NEAR(p.looks[0].frequency_hz, air::kCentre_hz + offset_hz + 3e3, 10.0);
  }
}

TEST(DetectorCovariance, HoldsLevelsAndPhasesOfTheElements) {
  Player p(air::config({10e3}), 6);
  p.signals = {air::carrier(-40.0, 9.1e3, 0.05, 0.24, 0.9)};
  p.play(0.35);
  ASSERT_EQ(p.looks.size(), 1U);
  const auto& r = p.looks[0].covariance;
  ASSERT_EQ(r.rows(), 3);
  // x[1] is ahead of x[0] by 0.9 rad, so the element (1, 0) of x x^H has that phase. At 33 dB over
  // 200 snapshots it is good to 2 mrad; 5 sigma.
  EXPECT_NEAR(std::arg(r(1, 0)), 0.9, 0.01);
  EXPECT_NEAR(std::arg(r(2, 0)), 1.8, 0.01);
  EXPECT_EQ(r(0, 1), std::conj(r(1, 0)));
  // A few of the 90 steps hold the signal in part, and 1 % of it is outside the span.
  EXPECT_NEAR(10.0 * std::log10(r(0, 0).real()), -40.0, 0.2);
  EXPECT_EQ(r(0, 0).imag(), 0.0);
}

/// Elements of unequal gain: element e has g = 1, 2, 0.5.
TEST(DetectorCovariance, NoisePowerIsEachElementsOwnAndGivesTheSnr) {
  Player p(air::config({10e3}), 6);
  const std::vector<double> gain{1.0, 2.0, 0.5};
  p.receiver = [&](std::complex<double> x, double, std::size_t e) { return gain[e] * x; };
  p.signals = {air::carrier(-55.0, 9.1e3, 0.1, 0.29)};
  p.play(0.4);
  ASSERT_EQ(p.looks.size(), 1U);
  const ChannelLook& look = p.looks[0];
  for (int e = 0; e < 3; ++e) {
    const double expected =
        1e-6 * std::pow(gain[static_cast<std::size_t>(e)], 2) * look.span_hz / air::kRate_hz;
    EXPECT_NEAR(look.noise_power(e) / expected, 1.0, 0.08);  // quartiles of 100 and more bins
  }
  const double snr_db = -55.0 - 10.0 * std::log10(1e-6 * look.span_hz / air::kRate_hz);
  EXPECT_NEAR(look.snr_db, snr_db, 0.5);
}

TEST(DetectorCovariance, SnapshotsAreWhatTheScatterOfTheNoiseSays) {
  // With an opening threshold that noise passes, every look is noise alone, and the cross terms of
  // K independent snapshots have the mean square P_i P_j / K.
  DetectorConfig c = air::config({-80e3, -40e3, 40e3, 80e3}, 25e3, 4);
  c.rules.open_snr_db = -9.5;
  c.rules.close_snr_db = -12.0;
  c.rules.hang = std::chrono::seconds{1};
  c.rules.integration = std::chrono::milliseconds{20};
  Player p(c, 8);
  p.play(8.0);
  double ratio = 0.0;
  double count = 0.0;
  for (const ChannelLook& look : p.looks) {
    const auto& r = look.covariance;
    for (int a = 0; a < 4; ++a) {
      for (int b = a + 1; b < 4; ++b) {
        ratio += std::norm(r(a, b)) * look.snapshots / (r(a, a).real() * r(b, b).real());
        count += 1.0;
      }
    }
  }
  ASSERT_GT(count, 1000.0);
  RecordProperty("ratio", std::to_string(ratio / count));
  // 0.97 is expected of noise (its snapshots are 0.489 and the signal's 0.474 of windows times
  // bins, more in narrow spans); each term scatters by its own size: 5 sigma with 1000 is 16 %.
  EXPECT_NEAR(ratio / count, 0.97, 0.16);
}

}  // namespace
}  // namespace fixwright::agent::detect
