/// Samples through SoapySDR from a device that plays an array (tests/support/soapy_array).

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <cstdlib>
#include <numbers>

#include "station_agent/array/geometry.hpp"
#include "station_agent/source/iq/device_stream.hpp"
#include "station_agent/source/iq/pacer.hpp"

namespace fixwright::agent::iq {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using testing::HasSubstr;

constexpr TimePoint kStart = std::chrono::sys_days{std::chrono::year{2031} / 5 / 4};

class DeviceFeed : public testing::Test {
 protected:
  // SoapySDR looks for modules once, when the first device is made.
  static void SetUpTestSuite() { setenv("SOAPY_SDR_PLUGIN_PATH", FIXWRIGHT_SOAPY_MODULES, 1); }

  std::unique_ptr<SampleStream> open(const std::string& more = "", std::size_t elements = 5) {
    config_.settings.arguments = "driver=fixwright_array" + more;
    config_.settings.rate_hz = 100'000.0;
    config_.settings.centre_hz = 155e6;
    config_.settings.elements = elements;
    config_.block_frames = 1000;
    return open_device(config_, clock_);
  }

  /// The next block, 10 ms later.
  ReadOutcome next(SampleStream& stream) {
    clock_.advance(milliseconds{10});
    return stream.read(block_, Duration{});
  }

  [[nodiscard]] double phase(std::size_t e, std::size_t frame) const {
    return std::arg(block_.element(e)[frame] / block_.element(0)[frame]);
  }

  DeviceConfig config_;
  ManualClock clock_{kStart};
  SampleBlock block_;
};

/// An angle brought into -pi to pi.
double wrapped(double angle) { return std::remainder(angle, 2.0 * std::numbers::pi); }

void expect_wave_from_70_deg(const SampleBlock& block, double tolerance_rad) {
  const auto array = array::circular_array(5, 0.4);  // metres as wavelengths
  const double azimuth = 70.0 * std::numbers::pi / 180.0;
  const auto path = [&](std::size_t e) {
    const auto& at = array.elements[e];
    return 2.0 * std::numbers::pi * (at.x_m * std::sin(azimuth) + at.y_m * std::cos(azimuth));
  };
  for (std::size_t e = 0; e < 5; ++e) {
    const double phase = std::arg(block.element(e)[17] / block.element(0)[17]);
    EXPECT_NEAR(wrapped(phase - (path(e) - path(0))), 0.0, tolerance_rad) << e;
  }
}

struct NativeFormat {
  const char* arguments;
  float step;
};

class EveryFormat : public DeviceFeed, public testing::WithParamInterface<NativeFormat> {};

TEST_P(EveryFormat, IsTakenAsTheDeviceHasItAndScaledByItsFullScale) {
  const auto stream = open(GetParam().arguments);
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  ASSERT_EQ(block_.elements, 5U);
  ASSERT_EQ(block_.frames, 1000U);
  const float step = GetParam().step;
  // Half of full scale, half a step on each of I and Q, and the step between full scale and the
  // largest number.
  EXPECT_NEAR(std::abs(block_.element(3)[5]), 0.5F, 1.5F * step + 1e-6F);
  expect_wave_from_70_deg(block_, 4.0 * step + 1e-5);
  // The carrier turns by a sixteenth with each frame.
  const auto turn = block_.element(1)[301] / block_.element(1)[300];
  EXPECT_NEAR(std::arg(turn), std::numbers::pi / 8.0, 4.0 * step + 1e-5);
  EXPECT_EQ(block_.clipped, std::vector<std::uint32_t>(5, 0));
}

INSTANTIATE_TEST_SUITE_P(Native, EveryFormat,
                         testing::Values(NativeFormat{",format=CS16,full_scale=2048", 1.0F / 2048},
                                         NativeFormat{",format=CS8", 1.0F / 128},
                                         NativeFormat{",format=CU8", 1.0F / 128},
                                         NativeFormat{",format=CF32", 0.0F},
                                         // One that we have no name for comes as floats.
                                         NativeFormat{",format=CS12", 0.0F}));

TEST_F(DeviceFeed, BlocksFollowEachOtherWithoutGapAndInTime) {
  const auto stream = open(",per_read=337");
  for (int i = 0; i < 5; ++i) {
    ASSERT_EQ(next(*stream).state, ReadState::samples);
    EXPECT_EQ(block_.frames, 1000U);
    EXPECT_EQ(block_.lost_frames_before, 0U);
    EXPECT_EQ(block_.start, kStart + milliseconds{10 * i});
  }
}

TEST_F(DeviceFeed, GainOfTheConfigurationIsSet) {
  config_.settings.gain_db = 14.0;  // 6 dB below that of the carrier's nominal level
  const auto stream = open(",format=CF32");
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_NEAR(std::abs(block_.element(0)[0]), 0.5 * std::pow(10.0, -0.3), 1e-5);
}

TEST_F(DeviceFeed, TooMuchGainIsCountedAsClippedSamples) {
  config_.settings.gain_db = 32.0;  // 0.5 becomes 2: the converter's end is reached
  const auto stream = open(",format=CS8");
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  // I and Q of a carrier of amplitude 2 are never both below 1.
  EXPECT_EQ(block_.clipped, std::vector<std::uint32_t>(5, 1000));
}

TEST_F(DeviceFeed, AnOverflowIsAGapOfAsManyFramesAsTheDevicesClockSays) {
  const auto stream = open(",overflow_at=1400,lost=777");
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(block_.frames, 400U);
  EXPECT_EQ(block_.lost_frames_before, 0U);
  const TimePoint before = block_.start + time_of_frames(400, 100'000.0);
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(block_.lost_frames_before, 777U);
  EXPECT_EQ(block_.frames, 1000U);
  EXPECT_GE(block_.start, before);
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(block_.lost_frames_before, 0U);
}

TEST_F(DeviceFeed, ALossThatTheDeviceDoesNotTellIsFoundByItsClock) {
  const auto stream = open(",overflow_at=1400,lost=96,quiet_loss=1");
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(block_.frames, 400U);
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(block_.lost_frames_before, 96U);
  EXPECT_EQ(block_.frames, 1000U);
  // What was read together with the gap is all there: the carrier goes on turning.
  for (std::size_t f = 1; f < 1000; ++f) {
    ASSERT_NEAR(std::arg(block_.element(2)[f] / block_.element(2)[f - 1]), std::numbers::pi / 8.0,
                0.01);
  }
}

TEST_F(DeviceFeed, WithoutADevicesClockOursMeasuresTheGap) {
  const auto stream = open(",time=0,overflow_at=2000,lost=1");
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  clock_.advance(milliseconds{50});
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(block_.lost_frames_before, 5000U);
  EXPECT_EQ(block_.start, kStart + milliseconds{70});
}

TEST_F(DeviceFeed, ADeviceThatKnowsUtcGivesTheTime) {
  config_.time = DeviceTime::device;
  const auto stream = open();
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(block_.start, TimePoint{seconds{1}});  // where the module's clock begins
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(block_.start, TimePoint{seconds{1} + milliseconds{10}});
}

TEST_F(DeviceFeed, TuningGivesBlocksOfTheNewCentreBehindAGap) {
  const auto stream = open();
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_TRUE(stream->tune(160e6));
  const ReadOutcome outcome = next(*stream);
  EXPECT_TRUE(outcome.format_changed);
  EXPECT_EQ(stream->format().centre_hz, 160e6);
  EXPECT_GE(block_.lost_frames_before, 1U);
  EXPECT_FALSE(next(*stream).format_changed);
}

TEST_F(DeviceFeed, WhatWasReadAheadOfTuningCountsAsLost) {
  const auto stream = open(",overflow_at=1400,lost=96,quiet_loss=1");
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  ASSERT_EQ(block_.frames, 400U);  // 500 from behind the gap were read with them
  const TimePoint end = block_.start + time_of_frames(400, 100'000.0);
  EXPECT_TRUE(stream->tune(160e6));
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  // And one, since the module's clock stands still while it is tuned.
  EXPECT_EQ(block_.lost_frames_before, 96U + 500U + 1U);
  EXPECT_EQ(block_.start, end + time_of_frames(597, 100'000.0));
}

TEST_F(DeviceFeed, WhatTheDeviceCanNotBeEndsTheStreamWithItsReason) {
  const auto failure = [&](const std::string& more, std::size_t elements) {
    const auto stream = open(more, elements);
    const ReadOutcome outcome = next(*stream);
    EXPECT_EQ(outcome.state, ReadState::failed);
    EXPECT_EQ(next(*stream).state, ReadState::failed);
    return outcome.note;
  };
  EXPECT_THAT(failure(",elements=4", 5), HasSubstr("has 4 receiving channels: the array has 5"));
  EXPECT_THAT(failure(",rate_error=1", 5), HasSubstr("source.iq.rate_hz = 100000: channel 0 set"));
  EXPECT_THAT(failure(",skewed=1", 5), HasSubstr("they are not coherent"));
  config_.settings.gain_db = 90.0;
  EXPECT_THAT(failure("", 5), HasSubstr("source.iq.device.gain_db = 90: channel 0 takes 0 to 40"));
  config_.settings.gain_db.reset();
  config_.time = DeviceTime::device;
  EXPECT_THAT(failure(",time=0", 5), HasSubstr("has no clock of its own"));
}

TEST_F(DeviceFeed, ADeviceThatIsNotThereIsToldOnceAndTriedAgain) {
  const auto stream = open(",absent=1");
  EXPECT_THAT(next(*stream).note, HasSubstr("no such device: trying again"));
  for (int i = 0; i < 500; ++i) {
    const ReadOutcome outcome = next(*stream);
    EXPECT_EQ(outcome.state, ReadState::waiting);
    EXPECT_EQ(outcome.note, "");
  }
}

TEST_F(DeviceFeed, ADeviceThatBreaksIsOpenedAgainBehindAGap) {
  const auto stream = open(",fail_at=1500");
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  ReadOutcome outcome = next(*stream);
  EXPECT_EQ(outcome.state, ReadState::samples);
  EXPECT_EQ(block_.frames, 500U);
  EXPECT_THAT(outcome.note, HasSubstr("trying again"));
  EXPECT_EQ(next(*stream).state, ReadState::waiting);
  clock_.advance(seconds{1});
  outcome = next(*stream);
  EXPECT_EQ(outcome.state, ReadState::samples);
  EXPECT_THAT(outcome.note, HasSubstr("there again"));
  // 1.03 s since the start, of which 1500 frames are there and 1000 are now.
  EXPECT_NEAR(static_cast<double>(block_.lost_frames_before), 1.03 * 100'000 - 2500, 1000);
}

TEST_F(DeviceFeed, ADeviceThatFallsSilentIsOpenedAgain) {
  const auto stream = open(",end_at=1000");
  ASSERT_EQ(next(*stream).state, ReadState::samples);
  EXPECT_EQ(next(*stream).note, "");
  clock_.advance(seconds{5});
  EXPECT_THAT(next(*stream).note, HasSubstr("gives no samples: trying again"));
}

}  // namespace
}  // namespace fixwright::agent::iq
