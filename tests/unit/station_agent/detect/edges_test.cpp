/// When signals begin and end, and how looks follow each other.

#include <gtest/gtest.h>

#include <deque>

#include "tests/unit/station_agent/detect/air.hpp"

namespace fixwright::agent::detect {
namespace {

using air::Player;

/// Noise in the channel of 12.5 kHz is 12.8 dB below that of the whole band.
constexpr double kChannelNoise_dbfs = -60.0 - 12.83;

/// One burst in quiet: its look must be within one analysis step at both ends.
void expect_edges(double snr_db, double from, double to) {
  Player p(air::config({10e3}), 7);
  p.signals = {air::carrier(kChannelNoise_dbfs + snr_db, 10.4e3, from, to)};
  p.play(to + 0.1);
  ASSERT_EQ(p.looks.size(), 1U) << snr_db << " dB from " << from;
  const ChannelLook& look = p.looks.front();
  const double step_s = seconds(p.detector.step());
  EXPECT_TRUE(look.opened && look.closed && !look.cut);
  EXPECT_NEAR(Player::since(look.start), from, step_s);
  EXPECT_NEAR(Player::since(look.start + look.integration), to, step_s);
}

TEST(DetectorEdges, StartAndEndAreWithinOneAnalysisStepFrom6To60Db) {
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> somewhere(0.03, 0.05);
  for (const double snr_db : {6.0, 10.0, 20.0, 40.0, 60.0}) {
    for (int i = 0; i < 10; ++i) {
      const double from = somewhere(random);
      expect_edges(snr_db, from, from + 2.0 * somewhere(random));
    }
  }
}

TEST(DetectorEdges, EveryBurstOfTwentyMillisecondsIsFoundOnce) {
  Player p(air::config({-30e3}), 11);
  constexpr int kBursts = 40;
  for (int i = 0; i < kBursts; ++i) {
    const double from = 0.05 + 0.1 * i + 0.0007 * i;  // at every phase of the step
    p.signals.push_back(air::carrier(kChannelNoise_dbfs + 6.0, -31e3, from, from + 0.02));
  }
  p.play(0.1007 * kBursts + 0.1);
  ASSERT_EQ(p.looks.size(), kBursts);
  for (int i = 0; i < kBursts; ++i) {
    EXPECT_NEAR(Player::since(p.looks[i].start), 0.05 + 0.1007 * i, seconds(p.detector.step()));
    EXPECT_TRUE(p.looks[i].opened && p.looks[i].closed);
  }
}

TEST(DetectorEdges, CracklesShorterThanTheShortestSignalAreNoSignal) {
  Player p(air::config({0.0}));
  p.signals = {air::carrier(-30.0, 1e3, 0.05, 0.053), air::carrier(-30.0, 1e3, 0.15, 0.154)};
  p.play(0.3);
  EXPECT_TRUE(p.looks.empty());
}

TEST(DetectorEdges, ContinuousCarrierGivesALookEveryIntegrationInterval) {
  Player p(air::config({20e3}));
  p.signals = {air::carrier(-50.0, 20e3, 0.1, 1.65)};
  p.play(2.0);
  ASSERT_EQ(p.looks.size(), 8U);  // 1.55 s of 0.2 s each
  for (std::size_t i = 0; i < p.looks.size(); ++i) {
    EXPECT_EQ(p.looks[i].opened, i == 0);
    EXPECT_EQ(p.looks[i].closed, i == 7);
    if (i > 0) {
      EXPECT_EQ(p.looks[i].start, p.looks[i - 1].start + p.looks[i - 1].integration);
    }
    if (i > 0 && i < 7) {
      // 0.2 s is no whole number of steps.
      EXPECT_NEAR(seconds(p.looks[i].integration), 0.2, 0.5 * seconds(p.detector.step()));
    }
  }
}

TEST(DetectorEdges, FadeShorterThanTheHangDoesNotCutASignalInTwo) {
  Player p(air::config({20e3}));
  p.signals = {air::carrier(-50.0, 20e3, 0.05, 0.1), air::carrier(-50.0, 20e3, 0.105, 0.15)};
  p.play(0.25);
  ASSERT_EQ(p.looks.size(), 1U);
  EXPECT_NEAR(seconds(p.looks[0].integration), 0.1, 2.0 * seconds(p.detector.step()));
}

TEST(DetectorEdges, WeakSignalHoldsWhatAStrongOneOpened) {
  DetectorConfig c = air::config({20e3, -20e3});
  c.rules.open_snr_db = 6.0;
  Player p(c);
  p.signals = {air::carrier(kChannelNoise_dbfs + 10.0, 20e3, 0.05, 0.1),
               air::carrier(kChannelNoise_dbfs + 2.5, 20e3, 0.1, 0.18),
               air::carrier(kChannelNoise_dbfs + 2.5, -20e3, 0.1, 0.18)};
  p.play(0.3);
  ASSERT_EQ(p.looks.size(), 1U);
  EXPECT_EQ(p.looks[0].channel, 0U);
  EXPECT_NEAR(seconds(p.looks[0].integration), 0.13, 2.0 * seconds(p.detector.step()));
}

TEST(DetectorEdges, LooksDoNotDependOnHowTheStreamIsCutIntoBlocks) {
  std::deque<Player> players;
  for (const std::size_t frames : {1UL, 777UL, 4096UL, 60'000UL}) {
    Player& p = players.emplace_back(air::config({20e3, -20e3}), 5);
    p.block_frames = frames;
    p.signals = {air::carrier(-50.0, 21e3, 0.03, 0.2), air::carrier(-45.0, -21e3, 0.07, 0.12)};
    p.play(0.3);
    ASSERT_EQ(p.looks.size(), 2U);
    for (std::size_t i = 0; i < 2; ++i) {
      const ChannelLook& first = players.front().looks[i];
      EXPECT_EQ(p.looks[i].covariance, first.covariance);
      EXPECT_EQ(p.looks[i].level_dbfs, first.level_dbfs);
      // Times come from the block's start, rounded to the nanosecond, some of them twice.
      EXPECT_LE(std::chrono::abs(p.looks[i].start - first.start), Duration{3});
    }
  }
}

TEST(DetectorEdges, NoLookStartsBeforeTheWatermark) {
  Player p(air::config({20e3}), 9);
  p.block_frames = 1000;
  for (int i = 0; i < 20; ++i) {
    p.signals.push_back(air::carrier(-45.0, 20e3, 0.05 + 0.0613 * i, 0.08 + 0.0613 * i));
  }
  TimePoint mark;
  std::size_t told = 0;
  while (p.now_s() < 1.4) {
    p.play(1000 / air::kRate_hz);
    for (; told < p.looks.size(); ++told) {
      EXPECT_GE(p.looks[told].start, mark);
    }
    EXPECT_GE(p.detector.low_watermark(), mark);
    mark = p.detector.low_watermark();
  }
  EXPECT_EQ(told, 20U);
  EXPECT_NEAR(Player::since(mark), 1.4, 0.01);  // it doesn't stay behind
}

}  // namespace
}  // namespace fixwright::agent::detect
