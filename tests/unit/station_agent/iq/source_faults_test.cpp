// Each thing that goes wrong in a receiver is found, named, and leads to no wrong bearing.
#include <gmock/gmock.h>

#include <cmath>

#include "tests/unit/station_agent/iq/source_fixture.hpp"

namespace fixwright::agent::iq {
namespace {

using scene::FaultKind;
using scene::Scene;
using std::chrono::milliseconds;
using std::chrono::seconds;

constexpr double kTruth_deg = 123.0;
constexpr Duration kWhen = seconds{1};

Scene faulty(FaultKind kind, std::size_t element, double value = 0.0, std::uint64_t frames = 0) {
  Scene scene = heard_scene(kTruth_deg, -30.0, gmsk());
  scene::Fault f;
  f.kind = kind;
  f.at = kWhen;
  f.element = element;
  f.other = 4;
  f.value = value;
  f.frames = frames;
  scene.stations[0].faults = {f};
  return scene;
}

/// Bearings that were taken wholly after the fault; and a moment, for it to be noticed.
std::vector<SourceBearing> after(const Played& p, const Scene& scene) {
  std::vector<SourceBearing> late;
  for (const SourceBearing& b : p.bearings) {
    if (b.start >= scene.start + kWhen) late.push_back(b);
  }
  return late;
}

void expect_good(const std::vector<SourceBearing>& bearings) {
  for (const SourceBearing& b : bearings) {
    EXPECT_LT(std::abs(wrap_180(b.azimuth_deg - kTruth_deg)), 3.0 * b.sigma_deg);
  }
}

TEST(IqSourceFaults, DroppedSamplesAreTold) {
  const Scene scene = faulty(FaultKind::drop, 0, 0.0, 12'345);
  const Played p = played(scene, seconds{3});
  EXPECT_EQ(p.told({"12345"}), 1) << p.all_complaints();
  const auto late = after(p, scene);
  EXPECT_GE(late.size(), 7U);
  expect_good(late);
  for (const SourceBearing& b : p.bearings) {  // none reaches over the gap
    EXPECT_FALSE(b.start < scene.start + kWhen &&
                 b.start + b.integration > scene.start + kWhen + milliseconds{4});
  }
}

TEST(IqSourceFaults, AClockStepInTheRecordingIsTold) {
  for (const double step_s : {2.0, -0.5}) {
    const Scene scene = faulty(FaultKind::clock_step, 0, step_s);
    const Played p = played(scene, seconds{3});
    EXPECT_EQ(p.told({"time"}), 1) << p.all_complaints();
    EXPECT_GE(p.bearings.size(), 11U);
    expect_good(p.bearings);
  }
}

struct BrokenElement {
  FaultKind kind;
  std::size_t element;  // from 0
  std::vector<std::string> told;
};

class IqSourceBrokenElement : public testing::TestWithParam<BrokenElement> {};

TEST_P(IqSourceBrokenElement, IsNamedAndItsBearingsWithheld) {
  const Scene scene = faulty(GetParam().kind, GetParam().element);
  const Played p = played(scene, seconds{3});
  EXPECT_GE(p.told(GetParam().told), 1) << p.all_complaints();
  EXPECT_LE(after(p, scene).size(), 1U);
  expect_good(p.bearings);
}

INSTANTIATE_TEST_SUITE_P(
    Faults, IqSourceBrokenElement,
    testing::Values(BrokenElement{FaultKind::dead, 3, {"element 4", "dead at"}},
                    BrokenElement{FaultKind::deaf, 3, {"element 4", "deaf at"}},
                    BrokenElement{FaultKind::stuck, 1, {"element 2", "stuck at"}}));

TEST(IqSourceFaults, SwappedElementsAreNamed) {
  // Near 0 and 180 degrees the two trade places in the circle's own mirror: nothing shows there.
  for (const double azimuth_deg : {30.0, 77.0, 123.0, 200.0, 311.0}) {
    Scene scene = faulty(FaultKind::swapped, 1);
    scene.emitters[0].azimuth_deg = azimuth_deg;
    const Played p = played(scene, seconds{3});
    EXPECT_EQ(p.told({"[element_order]", "2 and 5"}), 1) << azimuth_deg << "\n"
                                                         << p.all_complaints();
    EXPECT_LE(after(p, scene).size(), 1U) << azimuth_deg;
  }
}

TEST(IqSourceFaults, AnOscillatorOfItsOwnIsNamed) {
  const Scene scene = faulty(FaultKind::rotation, 2, 40.0);
  const Played p = played(scene, seconds{3});
  EXPECT_EQ(p.told({"element 3", "[incoherent_element]"}), 1) << p.all_complaints();
  EXPECT_LE(after(p, scene).size(), 1U);
}

TEST(IqSourceFaults, AnElementThatSlippedIsNamed) {
  // 2 ms are twenty symbols: nothing in common any more.
  const Scene scene = faulty(FaultKind::slip, 2, 0.0, 400);
  const Played p = played(scene, seconds{3});
  EXPECT_EQ(p.told({"element 3", "[incoherent_element]"}), 1) << p.all_complaints();
  EXPECT_LE(after(p, scene).size(), 1U);
}

TEST(IqSourceFaults, ALostPhaseIsNotTakenForAnAzimuth) {
  const Scene scene = faulty(FaultKind::phase_step, 2, 120.0);
  const Played p = played(scene, seconds{3});
  EXPECT_EQ(p.told({"[poor_fit]"}), 1) << p.all_complaints();
  EXPECT_LE(after(p, scene).size(), 1U);
}

TEST(IqSourceFaults, ADriftedPhaseFlagsTheBearings) {
  const Scene scene = faulty(FaultKind::phase_step, 2, 45.0);
  const Played p = played(scene, seconds{6});
  EXPECT_EQ(p.told({"[array_misfit]", "calibrate"}), 1) << p.all_complaints();
  for (const SourceBearing& b : p.bearings) {
    // Sixteen looks are remembered: after nine of them, 1.8 s, the median is of the new ones.
    const bool noticed = b.start > scene.start + kWhen + milliseconds{2200};
    const bool before = b.start < scene.start + kWhen;
    EXPECT_TRUE(noticed ? b.uncalibrated : !before || !b.uncalibrated);
  }
}

TEST(IqSourceFaults, AWrongNumberOfChannelsIsToldBeforeAnythingStarts) {
  const Scene scene = heard_scene(kTruth_deg, -30.0, gmsk());
  IqSourceConfig config = source_config(scene);
  config.geometry = array::circular_array(4, 0.67);
  const auto source = IqSource::open(config, stream_of(scene, seconds{1}), nullptr, host_clock());
  ASSERT_FALSE(source);
  EXPECT_THAT(source.error(), testing::HasSubstr("5 channels"));
  EXPECT_THAT(source.error(), testing::HasSubstr("4 elements"));
}

TEST(IqSourceFaults, ACalibrationOfAnotherArrayIsToldBeforeAnythingStarts) {
  const Scene scene = heard_scene(kTruth_deg, -30.0, gmsk());
  IqSourceConfig config = source_config(scene);
  config.calibration.elements.resize(7);
  const auto source = IqSource::open(config, stream_of(scene, seconds{1}), nullptr, host_clock());
  ASSERT_FALSE(source);
  EXPECT_THAT(source.error(), testing::HasSubstr("calibration is of 7 elements"));
}

TEST(IqSourceFaults, WhatGoesOnIsSaidOnceAMinute) {
  ComplaintBook book;
  std::vector<std::string> said;
  for (int s = 0; s <= 60; ++s) {
    book.say("poor_fit", "no wave", scene::kStart + seconds{s}, said);
    if (s == 3) book.say("dead", "silent", scene::kStart + seconds{s}, said);
  }
  EXPECT_THAT(said, testing::ElementsAre("no wave", "silent", "no wave (59 more like it before)"));
}

}  // namespace
}  // namespace fixwright::agent::iq
