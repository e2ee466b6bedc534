// Everything that must not become a calibration, and what the host is told.
#include <gmock/gmock.h>

#include "tests/unit/station_agent/calibrate/calibrate_fixture.hpp"

namespace fixwright::agent::calibrate {
namespace {

using std::chrono::milliseconds;
using testing::HasSubstr;

void expect(const Measurement& m, Outcome outcome, const std::vector<std::string>& words) {
  EXPECT_EQ(m.outcome, outcome) << m.refusal;
  for (const std::string& w : words) EXPECT_THAT(m.refusal, HasSubstr(w));
  EXPECT_EQ(m.refusal.find('\n'), std::string::npos) << m.refusal;
  EXPECT_TRUE(m.calibration.elements.empty());
}

TEST(CalibrationRefused, WhereThereIsNoSignal) {
  Bench bench;
  bench.question.references[0].frequency_hz -= 60'000.0;
  expect(bench.measured(), Outcome::not_measured, {"156.750000 MHz", "no signal in 1.0 s"});
}

TEST(CalibrationRefused, WithTooFewSnapshots) {
  Bench bench;
  bench.scene.emitters[0].signal = {};  // a bare carrier: few independent snapshots a second
  // One burst that just is a signal, in samples that end with it.
  bench.scene.emitters[0].schedule = {std::chrono::seconds{10}, milliseconds{12},
                                      milliseconds{400}};
  bench.question.lasts = milliseconds{600};
  expect(bench.measured(), Outcome::not_measured, {"snapshots are too few", "--seconds"});
}

TEST(CalibrationRefused, WhenOverloaded) {
  Bench bench;
  bench.scene.emitters[0].level_dbfs = 3.0;
  bench.scene.stations[0].bits = 8;
  expect(bench.measured(), Outcome::not_measured, {"overloaded", "less gain"});
}

TEST(CalibrationRefused, WhenTheReferenceIsWeak) {
  Bench bench;
  bench.scene.emitters[0].level_dbfs = -66.0;  // 5 dB in 16 kHz
  expect(bench.measured(), Outcome::not_measured, {"under 10 dB", "[weak_signal]"});
}

TEST(CalibrationRefused, WhenAnElementIsDead) {
  Bench bench;
  bench.break_from(Duration{0}, scene::FaultKind::dead, 3);
  expect(bench.measured(), Outcome::not_measured, {"element 4", "dead"});
}

TEST(CalibrationRefused, WhenAnElementSharesNoPhase) {
  Bench bench(120.0);
  bench.break_from(Duration{0}, scene::FaultKind::rotation, 1, 37.0);
  expect(bench.measured(), Outcome::not_measured, {"element 2", "[incoherent_element]"});
}

TEST(CalibrationRefused, WhenAnElementMovesOnTheWay) {
  Bench bench;
  bench.question.lasts = std::chrono::seconds{2};
  // 36 deg in all: within each of the four parts too little to be seen as lost coherence.
  bench.break_from(Duration{0}, scene::FaultKind::rotation, 2, 0.05);
  expect(bench.measured(), Outcome::not_measured, {"element 3 moved by", "[drifted]"});
}

TEST(CalibrationRefused, WhenTheReferenceIsNotAlone) {
  Bench bench(120.0);
  bench.scene.emitters.push_back(reference_at(10'000.0, 250.0, -36.0));
  bench.scene.emitters.back().name = "OSM-14";
  expect(bench.measured(), Outcome::not_measured, {"not alone", "[several_sources]"});
}

TEST(CalibrationRefused, WhenTheTransmittersPlacesDoNotExplainWhatIsHeard) {
  Bench bench(120.0);
  bench.add(reference_at(-60'000.0, 250.0));
  bench.question.references[1].line->azimuth_deg = 30.0;
  expect(bench.measured(), Outcome::not_measured, {"wrong place", "[poor_fit]"});
}

TEST(CalibrationRefused, WhenThreeTransmittersContradictEachOther) {
  Bench bench(120.0);
  bench.add(reference_at(-60'000.0, 250.0));
  bench.add(reference_at(60'000.0, 10.0));
  EXPECT_EQ(bench.measured().outcome, Outcome::measured);
  bench.question.references[0].line->azimuth_deg = 170.0;
  expect(bench.measured(), Outcome::not_measured, {"[poor_fit]"});
}

TEST(CalibrationRefused, OutsideTheSampledBand) {
  Bench bench;
  bench.question.references[0].frequency_hz = 433.92e6;
  expect(bench.measured(), Outcome::unusable,
         {"433.920000 MHz lies outside", "156.710000 to 156.890000 MHz"});
}

TEST(CalibrationRefused, ForTwoReferencesInOneChannel) {
  Bench bench;
  bench.question.references.push_back({bench.question.references[0].frequency_hz + 5'000.0, {}});
  expect(bench.measured(), Outcome::unusable, {"share one channel"});
}

TEST(CalibrationRefused, ForATransmitterTooNear) {
  Bench bench(120.0);
  bench.question.references[0].line->range_m = 3.0;
  // Five elements at 0.67 m: 1.274 m across. 360 1.274^2 / (8 1.912 5) = 7.6 m.
  expect(bench.measured(), Outcome::unusable, {"too near", "at least 8 m"});
}

TEST(CalibrationRefused, ForAnotherArrayThanTheSamplesHave) {
  Bench bench;
  bench.question.config.geometry = array::circular_array(4, 0.5);
  expect(bench.measured(), Outcome::unusable, {"5 channels", "4 elements"});
}

TEST(CalibrationRefused, WhenThereAreNoSamples) {
  const Bench bench;
  const auto stream = iq::stream_of(bench.scene, milliseconds{10});
  SampleBlock block;
  while (stream->read(block, Duration{0}).state == iq::ReadState::samples) continue;
  expect(measure(*stream, bench.question), Outcome::not_measured, {"no samples"});
}

}  // namespace
}  // namespace fixwright::agent::calibrate
