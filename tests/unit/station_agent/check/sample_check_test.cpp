// Each fault that samples can show is provoked in a made scene, and named by the right finding.
#include <gmock/gmock.h>

#include "station_agent/check/element_checks.hpp"
#include "tests/unit/station_agent/check/check_fixture.hpp"

namespace fixwright::agent::check {
namespace {

using scene::FaultKind;
using testing::HasSubstr;

TEST(SampleCheck, ASoundStationHasNothingButOk) {
  Bench bench;
  bench.know_the_transmitter();
  const std::vector<Finding> all = bench.check();
  for (const Finding& f : all) EXPECT_EQ(f.severity, Severity::ok) << f.area << ": " << f.what;
  std::vector<std::string> areas;
  for (const Finding& f : all) areas.push_back(f.area);
  EXPECT_THAT(areas, testing::ElementsAre("spacing", "ambiguity", "cable", "calibration", "samples",
                                          "noise", "overload", "coherence", "order"));
}

TEST(SampleCheck, NoiseIsToldForEachElementInDbfs) {
  Bench bench;
  const Finding noise = of(bench.check(), "noise");
  for (int e = 1; e <= 5; ++e) {
    // The scene's is -60 dBFS; a lower quartile of 0.8 s is good to a few tenths.
    EXPECT_NEAR(figure(noise, "element_" + std::to_string(e) + "_noise_dbfs"), -60.0, 0.5) << e;
  }
}

TEST(SampleCheck, ElementWithMoreGainStandsOutInTheNoise) {
  Survey s;
  s.noise_dbfs = {-60.0, -60.2, -55.8, -59.8, -60.1};
  Finding f = check_noise(s);
  EXPECT_EQ(f.severity, Severity::advice);
  EXPECT_THAT(f.what, HasSubstr("element 3 is +4.2 dB"));
  s.noise_dbfs[2] = -67.0;
  f = check_noise(s);
  EXPECT_EQ(f.severity, Severity::warning);
  EXPECT_THAT(f.what, HasSubstr("element 3 is -6.9 dB"));
}

TEST(SampleCheck, DeadStuckAndDeafElementsAreFaultsWithTheirNumber) {
  const std::pair<FaultKind, std::string> kinds[] = {{FaultKind::dead, "element 4 is dead"},
                                                     {FaultKind::stuck, "element 4 is stuck"},
                                                     {FaultKind::deaf, "element 4 is deaf"}};
  for (const auto& [kind, words] : kinds) {
    Bench bench;
    bench.break_at_start(kind, 3);
    const std::vector<Finding> all = bench.check();
    EXPECT_EQ(of(all, "noise").severity, Severity::fault) << words;
    EXPECT_THAT(of(all, "noise").what, HasSubstr(words));
    EXPECT_FALSE(of(all, "noise").to_do.empty());
    EXPECT_EQ(of(all, "coherence").severity, Severity::not_applicable) << words;
  }
}

TEST(SampleCheck, OverloadIsAWarningWithTheElements) {
  Bench bench;
  bench.scene.emitters[0].level_dbfs = 3.0;
  bench.station().bits = 8;
  const Finding f = of(bench.check(), "overload");
  EXPECT_EQ(f.severity, Severity::warning);
  EXPECT_THAT(f.what, HasSubstr("in element 1 ("));
  EXPECT_THAT(f.to_do, HasSubstr("lower the gain"));
}

TEST(SampleCheck, LostSamplesAreAWarningWithTheirNumber) {
  Bench bench;
  scene::Fault f;
  f.kind = FaultKind::drop;
  f.at = std::chrono::milliseconds{300};
  f.frames = 4321;
  bench.station().faults = {f};
  const Finding samples = of(bench.check(), "samples");
  EXPECT_EQ(samples.severity, Severity::warning);
  EXPECT_THAT(samples.what, HasSubstr("4321"));
}

TEST(SampleCheck, AClockThatIsSetWhileItRunsIsToldBySamples) {
  Bench bench;
  scene::Fault f;
  f.kind = FaultKind::clock_step;
  f.at = std::chrono::milliseconds{300};
  f.value = 2.0;
  bench.station().faults = {f};
  const Finding samples = of(bench.check(), "samples");
  EXPECT_EQ(samples.severity, Severity::warning);
  EXPECT_THAT(samples.what, HasSubstr("jumped by +2.0"));
}

TEST(SampleCheck, AnElementWithoutTheCommonClockIsNamed) {
  Bench bench;
  bench.break_at_start(FaultKind::rotation, 2, 40.0);
  const Finding f = of(bench.check(), "coherence");
  EXPECT_EQ(f.severity, Severity::fault);
  EXPECT_THAT(f.what, HasSubstr("element 3 shares no phase"));
}

TEST(SampleCheck, SwappedElementsAreNamedByAKnownTransmitter) {
  Bench bench;
  bench.break_at_start(FaultKind::swapped, 1, 0.0, 3);
  const std::vector<Finding> unknown = bench.check();
  EXPECT_EQ(of(unknown, "order").severity, Severity::not_applicable);
  EXPECT_EQ(of(unknown, "coherence").severity, Severity::fault);
  EXPECT_THAT(of(unknown, "coherence").to_do, HasSubstr("2 and 4"));
  bench.know_the_transmitter();
  const Finding f = of(bench.check(), "order");
  EXPECT_EQ(f.severity, Severity::fault);
  EXPECT_THAT(f.what, HasSubstr("elements 2 and 4 are swapped"));
}

TEST(SampleCheck, ElementsNumberedTheOtherWayRoundAreSeenByAKnownTransmitter) {
  Bench bench;
  bench.know_the_transmitter(77.0);
  auto& elements = bench.station().geometry.elements;
  bench.question.config.geometry = bench.station().geometry;  // as the host believes
  for (auto& p : elements) p.x_m = -p.x_m;                    // as they really stand
  const Finding f = of(bench.check(), "order");
  EXPECT_EQ(f.severity, Severity::fault);
  EXPECT_THAT(f.what + f.to_do, HasSubstr("the other way round"));
}

TEST(SampleCheck, ATurnedArrayIsToldWithTheTurn) {
  Bench bench;
  bench.know_the_transmitter();
  bench.question.config.geometry = bench.station().geometry;
  bench.question.config.orientation_deg = 0.0;
  bench.station().geometry.orientation_deg = 40.0;
  const Finding much = of(bench.check(), "order");
  EXPECT_EQ(much.severity, Severity::fault);
  EXPECT_THAT(much.what, HasSubstr("turned by +40"));
  bench.station().geometry.orientation_deg = 3.0;
  const Finding little = of(bench.check(), "order");
  EXPECT_EQ(little.severity, Severity::warning);
  EXPECT_NEAR(figure(little, "azimuth_error_deg"), -3.0, 0.5);  // sigma's floor is half a degree
  EXPECT_THAT(little.to_do, HasSubstr("add +3"));
}

TEST(SampleCheck, WhatCannotBeSeenIsAdviceNotOk) {
  Bench silent;
  silent.scene.emitters[0].level_dbfs = -200.0;
  EXPECT_EQ(of(silent.check(), "coherence").severity, Severity::advice);
  EXPECT_THAT(of(silent.check(), "coherence").what, HasSubstr("nothing heard on 1 channel"));
  silent.know_the_transmitter();
  EXPECT_EQ(of(silent.check(), "order").severity, Severity::advice);
  Bench far;
  far.know_the_transmitter();
  far.question.transmitter->frequency_hz = 433.92e6;
  EXPECT_THAT(of(far.check(), "order").what, HasSubstr("outside the sampled band"));
  Bench near;
  near.know_the_transmitter();
  near.question.transmitter->place = near.station().position;
  EXPECT_THAT(of(near.check(), "order").what, HasSubstr("too near"));
  Bench lost;
  lost.know_the_transmitter();
  lost.question.station.reset();
  EXPECT_THAT(of(lost.check(), "order").what, HasSubstr("own place is not known"));
}

TEST(SampleCheck, AnArrayThatDoesNotMatchTheSamplesIsAFault) {
  Bench bench;
  bench.question.config.geometry = array::circular_array(4, 0.67);
  const Finding f = of(bench.check(), "array");
  EXPECT_EQ(f.severity, Severity::fault);
  EXPECT_THAT(f.what, testing::AllOf(HasSubstr("5 channels"), HasSubstr("4 elements")));
}

TEST(SampleCheck, SourcesWithoutSamplesHaveEveryAreaNotApplicable) {
  const std::vector<Finding> all = no_samples();
  ASSERT_EQ(all.size(), 9U);
  for (const Finding& f : all) EXPECT_EQ(f.severity, Severity::not_applicable) << f.area;
}

TEST(Transmitter, TextIsLatitudeLongitudeFrequency) {
  const auto t = parse_transmitter("41.2,-150.3,162.025e6");
  ASSERT_TRUE(t.ok());
  EXPECT_EQ(t->place.latitude_deg, 41.2);
  EXPECT_EQ(t->place.longitude_deg, -150.3);
  EXPECT_EQ(t->frequency_hz, 162'025'000.0);
  for (const char* bad : {"", "41.2,-150.3", "41.2,-150.3,1e8,", "95,0,1e8", "41,0,0", "41,x,1e8",
                          "41,-150,nan", "41,0,1e12"}) {
    EXPECT_FALSE(parse_transmitter(bad).ok()) << bad;
  }
}

}  // namespace
}  // namespace fixwright::agent::check
