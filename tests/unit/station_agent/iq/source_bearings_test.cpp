// Samples in, bearings out: what they say of a known emitter.
#include <gmock/gmock.h>

#include <cmath>

#include "tests/unit/station_agent/iq/source_fixture.hpp"

namespace fixwright::agent::iq {
namespace {

using scene::Scene;
using std::chrono::milliseconds;
using std::chrono::seconds;

double error_deg(const SourceBearing& b, double truth_deg) {
  return wrap_180(b.azimuth_deg - truth_deg);
}

TEST(IqSource, BearingTellsWhatTheEmitterIs) {
  const Scene scene = heard_scene(123.0, -30.0, gmsk());
  const Played p = played(scene, seconds{2});
  ASSERT_GE(p.bearings.size(), 8U) << p.all_complaints();
  EXPECT_THAT(p.complaints, testing::IsEmpty()) << p.all_complaints();
  for (const SourceBearing& b : p.bearings) {
    EXPECT_NEAR(error_deg(b, 123.0), 0.0, 0.5);
    EXPECT_NEAR(b.frequency_hz, scene.emitters[0].frequency_hz, 300.0);
    ASSERT_TRUE(b.level_dbfs);
    EXPECT_NEAR(*b.level_dbfs, -30.0, 0.5);
    // 30 dB over the noise of 200 kHz is 41 dB over that of 16 kHz, more in a narrower signal.
    ASSERT_TRUE(b.snr_db);
    EXPECT_GT(*b.snr_db, 40.0);
    EXPECT_LT(*b.snr_db, 48.0);
    EXPECT_FALSE(b.overload);
    EXPECT_FALSE(b.uncalibrated);
    EXPECT_FALSE(b.simulated);
    EXPECT_FALSE(b.label);
  }
  ASSERT_TRUE(p.bearings[3].bandwidth_hz);
  // GMSK, BT 0.5: 1.04 R (see the waveform's test); a look holds 1900 symbols, and its bins are
  // wide against them: a fifth.
  EXPECT_NEAR(*p.bearings[3].bandwidth_hz, 1.04 * 9600.0, 0.2 * 9600.0);
}

TEST(IqSource, OnAVehicleAzimuthsCountFromItsBow) {
  const Scene scene = heard_scene(123.0, -30.0, gmsk());
  IqSourceConfig config = source_config(scene);
  config.from_heading = true;
  const Played p = played(scene, config, seconds{1});
  ASSERT_FALSE(p.bearings.empty());
  for (const SourceBearing& b : p.bearings) EXPECT_TRUE(b.from_heading);
}

TEST(IqSource, LooksFollowEachOtherThroughATransmission) {
  Scene scene = heard_scene(10.0, -30.0, gmsk());
  scene.emitters[0].schedule = {seconds{10}, milliseconds{900}, milliseconds{500}};
  const Played p = played(scene, seconds{2});
  ASSERT_GE(p.bearings.size(), 4U);
  const SourceBearing& first = p.bearings.front();
  const SourceBearing& last = p.bearings.back();
  // Start and end are good to one analysis step, 2.5 ms, and a window.
  EXPECT_LT(std::abs(fixwright::seconds(first.start - scene.start) - 0.5), 0.006);
  EXPECT_LT(std::abs(fixwright::seconds(last.start + last.integration - scene.start) - 1.4), 0.006);
  for (std::size_t i = 1; i < p.bearings.size(); ++i) {
    EXPECT_EQ(p.bearings[i].start, p.bearings[i - 1].start + p.bearings[i - 1].integration);
  }
}

TEST(IqSource, NoBearingStartsBeforeAWatermarkThatWentBeforeIt) {
  Scene scene = heard_scene(10.0, -30.0, gmsk());
  scene.emitters[0].schedule = {milliseconds{700}, milliseconds{330}, milliseconds{500}};
  auto source =
      IqSource::open(source_config(scene), stream_of(scene, seconds{3}), nullptr, host_clock());
  ASSERT_TRUE(source);
  const auto opened = std::move(source).value();
  TimePoint promised{};
  int bearings = 0;
  while (true) {
    const SourceBatch batch = opened->read(Duration{0});
    for (const SourceBearing& b : batch.bearings) {
      EXPECT_GE(b.start, promised);
      ++bearings;
    }
    EXPECT_GE(batch.low_watermark, promised);
    promised = batch.low_watermark;
    if (batch.ended) break;
  }
  EXPECT_GE(bearings, 8);
  // One integration and a few steps behind the last sample.
  EXPECT_GT(promised, scene.start + seconds{3} - milliseconds{400});
}

/// Errors over reported sigmas, rms, over all round the circle.
double normalised_rms(double level_dbfs, std::size_t& count) {
  double sum = 0.0;
  count = 0;
  for (int k = 0; k < 12; ++k) {
    const double truth_deg = 7.0 + 30.0 * k;
    Scene scene = heard_scene(truth_deg, level_dbfs, gmsk());
    scene.seed = static_cast<std::uint64_t>(k) + 1;
    scene.stations[0].responses = {
        {0.0, 0.0, 0.0}, {1.0, 20.0, 0.0}, {-1.5, -35.0, 0.0}, {0.5, 50.0, 0.0}, {0.2, -10.0, 0.0}};
    IqSourceConfig config = source_config(scene);
    config.estimator.floor_deg = 1e-3;  // the scene's manifold is exact: noise alone is left
    config.estimator.manifold_error_deg = 0.1;
    for (const SourceBearing& b : played(scene, config, seconds{4}).bearings) {
      if (b.integration < milliseconds{150}) continue;
      const double e = error_deg(b, truth_deg) / b.sigma_deg;
      sum += e * e;
      ++count;
    }
  }
  return std::sqrt(sum / static_cast<double>(count));
}

TEST(IqSource, ReportedSigmaIsTheTrueSpread) {
  // 3, 12 and 30 dB in the channel of 16 kHz: noise of 200 kHz at -60 dBFS is -71 in it.
  for (const double level_dbfs : {-66.0, -59.0, -41.0}) {
    std::size_t count = 0;
    const double ratio = normalised_rms(level_dbfs, count);
    ASSERT_GE(count, 180U) << level_dbfs;
    RecordProperty("sigma_ratio_at_" + std::to_string(static_cast<int>(level_dbfs)),
                   std::to_string(ratio));
    // The goal, reported / true 0.9 to 1.15, is 1/1.15 to 1/0.9 here; rms of n normal values is
    // good to 1/sqrt(2 n) = 5 %, and 0.97 to 1.00 was found.
    EXPECT_GT(ratio, 0.87) << level_dbfs;
    EXPECT_LT(ratio, 1.11) << level_dbfs;
  }
}

TEST(IqSource, SeveralChannelsAtOnceEachHaveTheirOwnAzimuth) {
  Scene scene = heard_scene(40.0, -30.0, gmsk());
  scene.emitters.push_back(scene::emitter_at(200.0, -35.0, {}, -30'000.0));
  scene.emitters.push_back(scene::emitter_at(310.0, -25.0, gmsk(), 55'000.0));
  scene.emitters[1].name = "OSM-14";
  scene.emitters[2].name = "OSM-18";
  IqSourceConfig config = source_config(scene);
  config.channels.clear();
  for (const auto& e : scene.emitters) config.channels.push_back({e.frequency_hz, 16'000.0});
  const Played p = played(scene, config, seconds{1});
  std::vector<int> heard(3);
  for (const SourceBearing& b : p.bearings) {
    for (std::size_t i = 0; i < 3; ++i) {
      if (std::abs(b.frequency_hz - scene.emitters[i].frequency_hz) > 2000.0) continue;
      EXPECT_NEAR(error_deg(b, *scene.emitters[i].azimuth_deg), 0.0, 0.5) << i;
      ++heard[i];
    }
  }
  EXPECT_THAT(heard, testing::Each(testing::Ge(4)));
}

TEST(IqSource, ShortBurstsGiveBearingsToo) {
  Scene scene = heard_scene(75.0, -35.0, gmsk());
  scene.emitters[0].schedule = {milliseconds{250}, milliseconds{20}, milliseconds{200}};
  const Played p = played(scene, seconds{3});
  EXPECT_GE(p.bearings.size(), 10U);  // of eleven
  for (const SourceBearing& b : p.bearings) EXPECT_NEAR(error_deg(b, 75.0), 0.0, 2.0);
}

TEST(IqSource, OverloadedBearingsAreFlagged) {
  Scene scene = heard_scene(75.0, 3.0, gmsk());
  scene.stations[0].bits = 8;
  const Played p = played(scene, seconds{1});
  ASSERT_FALSE(p.bearings.empty()) << p.all_complaints();
  for (const SourceBearing& b : p.bearings) EXPECT_TRUE(b.overload);
  EXPECT_GE(p.told({"overload"}) + p.told({"full scale"}) + p.told({"scale"}), 1)
      << p.all_complaints();
}

TEST(IqSource, ArrayWithoutCalibrationGivesNothingOrFlaggedBearings) {
  const Scene scene = heard_scene(75.0, -30.0, gmsk());
  IqSourceConfig config = source_config(scene);
  config.calibration = {};
  const Played withheld = played(scene, config, seconds{1});
  EXPECT_THAT(withheld.bearings, testing::IsEmpty());
  EXPECT_EQ(withheld.told({"[uncalibrated]", "calibrate"}), 1) << withheld.all_complaints();
  config.estimator.allow_uncalibrated = true;
  const Played flagged = played(scene, config, seconds{1});
  ASSERT_FALSE(flagged.bearings.empty());
  for (const SourceBearing& b : flagged.bearings) {
    EXPECT_TRUE(b.uncalibrated);
    EXPECT_GE(b.sigma_deg, config.estimator.uncalibrated_floor_deg);
  }
}

TEST(IqSource, ExpiredCalibrationIsToldAndWithholdsBearings) {
  const Scene scene = heard_scene(75.0, -30.0, gmsk());
  IqSourceConfig config = source_config(scene);
  config.calibration_max_age = std::chrono::hours{24} + seconds{1};  // a second into the scene
  const Played p = played(scene, config, seconds{2});
  ASSERT_FALSE(p.bearings.empty());
  EXPECT_LE(p.bearings.back().start, scene.start + seconds{1});
  EXPECT_EQ(p.told({"older than", "calibrate anew"}), 1) << p.all_complaints();
  EXPECT_EQ(p.told({"expired"}), 1) << p.all_complaints();
}

TEST(IqSource, ChannelsFollowTheServersPlan) {
  const Scene scene = heard_scene(75.0, -30.0, gmsk());
  IqSourceConfig config = source_config(scene);
  config.channels.clear();
  PlanBoard board;
  auto source = IqSource::open(config, stream_of(scene, seconds{3}), &board, host_clock());
  ASSERT_TRUE(source);
  const auto opened = std::move(source).value();
  const auto read_until = [&](TimePoint end) {
    std::size_t bearings = 0;
    while (true) {
      const SourceBatch batch = opened->read(Duration{0});
      bearings += batch.bearings.size();
      if (batch.low_watermark >= end || batch.ended) return bearings;
    }
  };
  EXPECT_EQ(read_until(scene.start + milliseconds{300}), 0U);
  board.post({{scene.emitters[0].frequency_hz, 16'000.0}, {433'920'000.0, 25'000.0}});
  EXPECT_GE(read_until(scene.start + milliseconds{1300}), 3U);
  board.post({{scene.emitters[0].frequency_hz - 60'000.0, 16'000.0}});
  EXPECT_LE(read_until(scene.start + milliseconds{1600}), 1U);  // what was open is closed
  EXPECT_EQ(read_until(scene.start + seconds{9}), 0U);
}

TEST(IqSource, APlanOutsideTheBandIsTold) {
  const Scene scene = heard_scene(75.0, -30.0, gmsk());
  IqSourceConfig config = source_config(scene);
  config.channels.clear();
  PlanBoard board;
  board.post({{433'920'000.0, 25'000.0}});
  const Played p = played(scene, config, seconds{1}, &board);
  EXPECT_THAT(p.bearings, testing::IsEmpty());
  EXPECT_EQ(p.told({"nothing is watched", "156.710000 and 156.890000 MHz"}), 1)
      << p.all_complaints();
}

}  // namespace
}  // namespace fixwright::agent::iq
