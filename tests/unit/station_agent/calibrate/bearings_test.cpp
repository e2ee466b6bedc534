// What calibration is for: bearings of uneven receivers become those of even ones.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/unit/station_agent/calibrate/calibrate_fixture.hpp"

namespace fixwright::agent::calibrate {
namespace {

constexpr int kDirections = 12;

/// rms error of bearings from all round, 15 dB over the noise in 16 kHz.
double rmse_deg(const std::vector<array::ElementResponse>& responses,
                const array::ArrayCalibration& calibration) {
  double sum = 0.0;
  int count = 0;
  for (int k = 0; k < kDirections; ++k) {
    const double truth_deg = 7.0 + 30.0 * k;
    scene::Scene scene = iq::heard_scene(truth_deg, -56.0, iq::gmsk());
    scene.seed = static_cast<std::uint64_t>(k) + 1;
    scene.stations[0].responses = responses;
    iq::IqSourceConfig config = iq::source_config(scene);
    config.calibration = calibration;
    config.estimator.allow_uncalibrated = true;
    const iq::Played p = iq::played(scene, config, std::chrono::milliseconds{1500});
    for (const SourceBearing& b : p.bearings) {
      const double error = wrap_180(b.azimuth_deg - truth_deg);
      sum += error * error;
      ++count;
    }
  }
  EXPECT_GE(count, 6 * kDirections);
  return std::sqrt(sum / count);
}

double perfect_rmse_deg() {
  array::ArrayCalibration even;
  even.elements.resize(5);
  return rmse_deg({}, even);
}

/// Both methods: errors of calibration add to those of noise. The issue wants at most 1.15 times
/// the bound after it; here the perfect array, with the same draws of noise, stands for the bound.
/// What the uneven gains themselves cost the noise, at 1 dB, is under 3 %: within it.
void expect_as_good_as_perfect(const Bench& bench, const char* name) {
  const double before = rmse_deg(uneven(), {});
  const Measurement m = bench.measured();
  ASSERT_EQ(m.outcome, Outcome::measured) << m.refusal;
  const double after = rmse_deg(uneven(), m.calibration);
  const double perfect = perfect_rmse_deg();
  testing::Test::RecordProperty(std::string(name) + "_before_deg", std::to_string(before));
  testing::Test::RecordProperty(std::string(name) + "_after_deg", std::to_string(after));
  testing::Test::RecordProperty(std::string(name) + "_perfect_deg", std::to_string(perfect));
  EXPECT_LT(after, 1.15 * perfect);
  // 10 deg rms of phase on a circle of kR = 2.2: 10 / (2.2 sqrt(5/2)) = 2.9 deg; at least half of
  // it shows whatever the draw.
  EXPECT_GT(before, 1.4);
  EXPECT_GT(before, 5.0 * perfect);
}

TEST(CalibratedBearings, AreThoseOfAPerfectArrayAfterACommonReference) {
  expect_as_good_as_perfect(Bench(), "common_reference");
}

TEST(CalibratedBearings, AreThoseOfAPerfectArrayAfterATransmitterOfKnownPlace) {
  expect_as_good_as_perfect(Bench(212.0), "known_transmitter");
}

TEST(MeasuredResponses, AreTheTrueOnesAndTellHowTheyCame) {
  const Bench bench;
  const Measurement m = bench.measured();
  ASSERT_EQ(m.outcome, Outcome::measured) << m.refusal;
  const auto& c = m.calibration;
  EXPECT_EQ(c.method, array::CalibrationMethod::common_reference);
  EXPECT_EQ(c.date, bench.scene.start);
  EXPECT_EQ(c.reference, "common reference at 156.810000 MHz");
  EXPECT_LT(c.low_hz, 156.81e6);
  EXPECT_GT(c.high_hz, 156.81e6);
  // 41 dB and some thousands of snapshots: a hundredth of a degree; five of them.
  EXPECT_LT(c.residual_deg, 0.1);
  array::ArrayCalibration truth;
  truth.elements = uneven();
  for (const auto& change : array::element_changes(truth, c, 156.81e6)) {
    EXPECT_NEAR(change.phase_deg, 0.0, 0.1);
    EXPECT_NEAR(change.gain_db, 0.0, 0.02);
  }
}

TEST(MeasuredResponses, CableDelaysComeFromTwoFrequencies) {
  Bench bench;
  bench.scene.stations[0].responses[2].delay_s = 50e-9;  // 10 m of cable too much
  bench.add(reference_at(-70'000.0, std::nullopt));
  const Measurement m = bench.measured();
  ASSERT_EQ(m.outcome, Outcome::measured) << m.refusal;
  EXPECT_GT(m.delay_sigma_s, 0.0);
  const auto& e = m.calibration.elements;
  EXPECT_NEAR(e[2].delay_s - e[0].delay_s, 50e-9, 4.0 * m.delay_sigma_s);
  EXPECT_NEAR(e[4].delay_s - e[0].delay_s, 0.0, 4.0 * m.delay_sigma_s);
  EXPECT_LT(m.delay_sigma_s, 10e-9);
  // 3 deg of error at the ends of what it holds for.
  const double beyond_hz = m.calibration.high_hz - 156.81e6;
  EXPECT_LE(360.0 * beyond_hz * m.delay_sigma_s, 3.1);
}

}  // namespace
}  // namespace fixwright::agent::calibrate
