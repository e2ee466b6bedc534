// What the scene's receivers do to the samples: converter, schedule, faults.
#include <gmock/gmock.h>

#include <cmath>
#include <numbers>

#include "server/base/angle.hpp"
#include "tests/unit/station_agent/iq/scene_fixture.hpp"

namespace fixwright::agent::scene {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

Signal gmsk() {
  Signal s;
  s.modulation = Modulation::fsk;
  s.symbol_rate_hz = 9600.0;
  s.deviation_hz = 2400.0;
  s.bt = 0.5;
  return s;
}

Scene scene_with(FaultKind kind, std::size_t element, double value = 0.0,
                 std::uint64_t frames = 0) {
  Scene scene = quiet_scene();
  scene.stations[0].noise_dbfs = -60.0;
  scene.emitters = {emitter_at(40.0, -20.0, gmsk())};
  Fault f;
  f.kind = kind;
  f.at = milliseconds{10};  // 2000 frames
  f.element = element;
  f.other = 4;
  f.value = value;
  f.frames = frames;
  scene.stations[0].faults = {f};
  return scene;
}

/// 1 where two elements differ by a constant phase alone.
double coherence(const SampleBlock& block, std::size_t a, std::size_t b) {
  const auto cross = mean_product(block.element(a), block.element(b));
  return std::abs(cross) / std::sqrt(mean_product(block.element(a), block.element(a)).real() *
                                     mean_product(block.element(b), block.element(b)).real());
}

struct BeforeAfter {
  SampleBlock before;
  SampleBlock after;
};

BeforeAfter around_fault(const Scene& scene) {
  Renderer renderer(scene, "LANTERN-HEAD", kStart);
  BeforeAfter both;
  renderer.render(2000, both.before);
  renderer.render(8000, both.after);
  return both;
}

TEST(SceneReceiver, ScheduleIsKeptToTheFrame) {
  Scene scene = quiet_scene();
  scene.emitters = {emitter_at(0.0, -6.0)};
  scene.emitters[0].schedule = {milliseconds{50}, milliseconds{20}, milliseconds{5}};
  const SampleBlock block = rendered(scene, 20'000);  // two periods
  for (std::size_t f = 0; f < block.frames; ++f) {
    const std::size_t within = (f + 10'000 - 1000) % 10'000;
    ASSERT_EQ(std::abs(block.element(2)[f]) > 0.1F, within < 4000) << f;
  }
}

TEST(SceneReceiver, SameSceneGivesTheSameSamplesHoweverAskedFor) {
  Scene scene = scene_with(FaultKind::slip, 1, 0.0, 5);
  scene.stations[0].bits = 8;
  const SampleBlock whole = rendered(scene, 6000);
  Renderer renderer(scene, "LANTERN-HEAD", kStart);
  SampleBlock part;
  for (std::size_t at = 0; at < 6000; at += part.frames) {
    renderer.render(std::min<std::size_t>(777, 6000 - at), part);
    EXPECT_EQ(part.start - kStart, Duration{static_cast<std::int64_t>(at) * 5000});
    for (std::size_t e = 0; e < 5; ++e) {
      for (std::size_t f = 0; f < part.frames; ++f) {
        ASSERT_EQ(part.element(e)[f], whole.element(e)[at + f]) << e << " " << at + f;
      }
    }
  }
}

TEST(SceneReceiver, AnotherSeedOrStationHasOtherNoise) {
  Scene scene = scene_with(FaultKind::dead, 0);
  const SampleBlock one = rendered(scene, 100);
  scene.seed = 2;
  EXPECT_NE(rendered(scene, 100).samples, one.samples);
}

TEST(SceneReceiver, ConverterHasItsStepsAndCountsWhatIsClipped) {
  Scene scene = quiet_scene();
  scene.stations[0].bits = 8;
  scene.stations[0].responses.resize(5);
  scene.stations[0].responses[2].gain_db = 12.0;
  scene.emitters = {emitter_at(0.0, -9.0)};
  const SampleBlock block = rendered(scene, 5000);
  for (const auto& s : block.samples) {
    ASSERT_EQ(s.real() * 128.0F, std::round(s.real() * 128.0F));
    ASSERT_LE(std::abs(s.imag()), 1.0F);
  }
  EXPECT_EQ(block.clipped[0], 0U);
  // Amplitude 3 dB over the scale: a part is beyond it where |cos| > 0.708, half of the turn, and
  // then the other part is not: every sample, but for what 20 phases of the carrier leave.
  EXPECT_GT(block.clipped[2], 4000U);
}

TEST(SceneReceiver, QuantisationNoiseIsATwelfthOfAStepSquared) {
  // Power of the error of a uniform quantiser: step^2 / 12 for each part (any textbook).
  Scene scene = quiet_scene();
  scene.stations[0].noise_dbfs = -20.0;
  const SampleBlock fine = rendered(scene, 50'000);
  scene.stations[0].bits = 8;
  const SampleBlock coarse = rendered(scene, 50'000);
  double error = 0.0;
  for (std::size_t i = 0; i < fine.samples.size(); ++i) {
    error += std::norm(fine.samples[i] - coarse.samples[i]);
  }
  error /= static_cast<double>(fine.samples.size());
  EXPECT_NEAR(error / (2.0 / (128.0 * 128.0 * 12.0)), 1.0, 0.01);  // 250 000 samples: 0.2 %
}

TEST(SceneReceiver, DeadElementDeliversNextToNothing) {
  const auto [before, after] = around_fault(scene_with(FaultKind::dead, 3));
  EXPECT_NEAR(power_db(before.element(3)), -20.0, 0.1);
  EXPECT_LT(power_db(after.element(3)), -70.0);
  EXPECT_NEAR(power_db(after.element(2)), -20.0, 0.1);
}

TEST(SceneReceiver, DeafElementKeepsItsNoise) {
  const auto [before, after] = around_fault(scene_with(FaultKind::deaf, 3));
  EXPECT_NEAR(power_db(after.element(3)), -60.0, 0.3);  // 8000 values: 0.05 dB
}

TEST(SceneReceiver, StuckConverterRepeatsOneValue) {
  const auto [before, after] = around_fault(scene_with(FaultKind::stuck, 1));
  EXPECT_NE(before.element(1)[0], before.element(1)[1]);
  for (const auto& s : after.element(1)) ASSERT_EQ(s, after.element(1)[0]);
}

TEST(SceneReceiver, SwappedElementsAreEachOthers) {
  const Scene scene = scene_with(FaultKind::swapped, 1);
  Scene sound = scene;
  sound.stations[0].faults.clear();
  const SampleBlock block = rendered(scene, 4000);
  const SampleBlock right = rendered(sound, 4000);
  EXPECT_EQ(block.element(1)[1999], right.element(1)[1999]);
  EXPECT_EQ(block.element(1)[2000], right.element(4)[2000]);
  EXPECT_EQ(block.element(4)[3000], right.element(1)[3000]);
}

TEST(SceneReceiver, RotatingOscillatorHasNoCommonPhase) {
  // 100 Hz over 40 ms are four turns: the mean of the phase's factor is 0.
  const auto [before, after] = around_fault(scene_with(FaultKind::rotation, 2, 100.0));
  EXPECT_GT(coherence(before, 2, 0), 0.99);
  EXPECT_LT(coherence(after, 2, 0), 0.05);
  EXPECT_GT(coherence(after, 1, 0), 0.99);
}

TEST(SceneReceiver, PhaseStepTurnsOneElement) {
  const auto [before, after] = around_fault(scene_with(FaultKind::phase_step, 2, 75.0));
  const auto turned = mean_product(after.element(2), after.element(0)) *
                      std::conj(mean_product(before.element(2), before.element(0)));
  EXPECT_NEAR(std::arg(turned) * kRadToDeg, 75.0, 0.2);  // 40 dB over the noise, 2000 frames
}

TEST(SceneReceiver, SlippedElementLagsByWholeFrames) {
  const auto [before, after] = around_fault(scene_with(FaultKind::slip, 2, 0.0, 200));
  EXPECT_LT(coherence(after, 2, 0), 0.9);  // 1 ms is ten symbols
  SampleBlock late = after;
  // Element 0 of 200 frames ago beside element 2 of now.
  const auto cross =
      mean_product({after.element(2).data() + 200, 7800}, {after.element(0).data(), 7800});
  EXPECT_NEAR(std::abs(cross), 0.01, 2e-4);
}

TEST(SceneReceiver, DropCutsTheBlockAndIsTold) {
  Renderer renderer(scene_with(FaultKind::drop, 0, 0.0, 500), "LANTERN-HEAD", kStart);
  SampleBlock block;
  renderer.render(4000, block);
  EXPECT_EQ(block.frames, 2000U);
  EXPECT_EQ(block.lost_frames_before, 0U);
  renderer.render(4000, block);
  EXPECT_EQ(block.frames, 4000U);
  EXPECT_EQ(block.lost_frames_before, 500U);
  EXPECT_EQ(block.start - kStart, Duration{2500 * 5000});
}

TEST(SceneReceiver, ClockStepMovesTheTimesAndNotTheSamples) {
  const Scene scene = scene_with(FaultKind::clock_step, 0, -1.5);
  Scene sound = scene;
  sound.stations[0].faults.clear();
  const auto [before, after] = around_fault(scene);
  EXPECT_EQ(before.start, kStart);
  EXPECT_EQ(after.start - kStart, milliseconds{10} - milliseconds{1500});
  EXPECT_EQ(after.lost_frames_before, 0U);
  EXPECT_EQ(after.samples, around_fault(sound).after.samples);
}

}  // namespace
}  // namespace fixwright::agent::scene
