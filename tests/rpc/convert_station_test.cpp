#include "server/rpc/convert_station.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "server/rpc/convert_time.hpp"

namespace fixwright::rpc {
namespace {

/// A bearing with every field set, each to a value of its own.
station_v1::Bearing full() {
  station_v1::Bearing b;
  b.set_sequence(8812);
  b.mutable_start_time()->set_seconds(1'900'000'000);
  b.mutable_start_time()->set_nanos(250'000'001);
  b.mutable_integration()->set_nanos(400'000'000);
  b.mutable_clock_error()->set_nanos(3'000'000);
  b.set_frequency_hz(156.8125e6);
  b.set_channel_id(12);
  b.set_azimuth_deg(211.53);
  b.set_azimuth_sigma_deg(1.25);
  auto& alternative = *b.add_alternatives();
  alternative.set_azimuth_deg(31.5);
  alternative.set_weight(0.25);
  b.set_field_strength_dbuv_per_m(34.5);
  b.set_level_dbfs(-41.5);
  b.set_snr_db(17.25);
  b.set_bandwidth_hz(11e3);
  b.set_label("OSM-12");
  b.add_flags(station_v1::BEARING_FLAG_OVERLOAD);
  b.add_flags(station_v1::BEARING_FLAG_SIMULATED);
  b.mutable_station_position()->set_latitude_deg(41.1);
  b.mutable_station_position()->set_longitude_deg(-150.3);
  b.mutable_station_position()->set_position_sigma_m(6.5);
  return b;
}

TEST(ConvertBearing, EveryFieldFindsItsPlace) {
  Bearing expected;
  expected.key.sequence = 8812;
  expected.channel = 12;
  expected.start = TimePoint{std::chrono::seconds{1'900'000'000}} + Duration{250'000'001};
  expected.integration = std::chrono::milliseconds{400};
  expected.clock_error = std::chrono::milliseconds{3};
  expected.frequency_hz = 156.8125e6;
  expected.azimuth_deg = 211.53;
  expected.sigma_deg = 1.25;
  expected.station_position = {41.1, -150.3};
  expected.station_moves = true;
  expected.station_sigma_m = 6.5;
  expected.alternatives = {{31.5, 0.25}};
  expected.field_strength_dbuv_per_m = 34.5;
  expected.level_dbfs = -41.5;
  expected.snr_db = 17.25;
  expected.bandwidth_hz = 11e3;
  expected.label = "OSM-12";
  expected.flags = kFlagOverload | kFlagSimulated;
  EXPECT_EQ(from_proto(full()), expected);
}

TEST(ConvertBearing, WhatIsAbsentIsAbsentAndNotZero) {
  const Bearing b = from_proto(station_v1::Bearing{});
  EXPECT_EQ(b.start, TimePoint::min());
  EXPECT_EQ(b.clock_error, Duration::min());
  EXPECT_EQ(b.integration, Duration{0}) << "absent: the source does not say";
  EXPECT_EQ(b.channel, 0) << "absent: the server decides";
  EXPECT_FALSE(b.station_moves);
  EXPECT_FALSE(b.field_strength_dbuv_per_m || b.level_dbfs || b.snr_db || b.bandwidth_hz);
  EXPECT_FALSE(b.label.has_value());
}

TEST(ConvertBearing, AChannelOfZeroThatWasSentIsNotTheServersToDecide) {
  station_v1::Bearing b = full();
  b.set_channel_id(0);
  EXPECT_EQ(from_proto(b).channel, -1);
}

TEST(ConvertBearing, NumbersThatAreNonePassAsTheyAre) {
  station_v1::Bearing b = full();
  b.set_azimuth_deg(std::nan(""));
  b.set_frequency_hz(std::numeric_limits<double>::infinity());
  b.set_snr_db(std::nan(""));
  const Bearing out = from_proto(b);
  EXPECT_TRUE(std::isnan(out.azimuth_deg));
  EXPECT_TRUE(std::isinf(out.frequency_hz));
  ASSERT_TRUE(out.snr_db.has_value());
  EXPECT_TRUE(std::isnan(*out.snr_db));
}

TEST(ConvertBearing, TimesThatOursCannotHoldAreTheEndsThatIngestRefuses) {
  station_v1::Bearing b = full();
  b.mutable_start_time()->set_seconds(std::numeric_limits<std::int64_t>::max());
  b.mutable_integration()->set_seconds(std::numeric_limits<std::int64_t>::max());
  b.mutable_clock_error()->set_seconds(std::numeric_limits<std::int64_t>::min());
  const Bearing out = from_proto(b);
  EXPECT_EQ(out.start, TimePoint::max());
  EXPECT_EQ(out.integration, Duration::max());
  EXPECT_EQ(out.clock_error, Duration::min());
}

TEST(ConvertBearing, AFlagOfANewerAgentIsDropped) {
  station_v1::Bearing b;
  b.add_flags(static_cast<station_v1::BearingFlag>(99));
  b.add_flags(station_v1::BEARING_FLAG_UNCALIBRATED);
  b.add_flags(station_v1::BEARING_FLAG_CLOCK_UNSYNCHRONISED);
  EXPECT_EQ(from_proto(b).flags, kFlagUncalibrated | kFlagClockUnsynchronised);
}

TEST(ConvertHeartbeat, AClockWhoseStateIsNotStatedIsUnsynchronised) {
  station_v1::Heartbeat h;
  EXPECT_EQ(from_proto(h).clock_state, ClockState::unsynchronised);
  EXPECT_EQ(from_proto(h).low_watermark, TimePoint::min());
  EXPECT_EQ(from_proto(h).clock_error, Duration::min());
  h.set_clock_state(station_v1::CLOCK_STATE_SYNCHRONISED);
  EXPECT_EQ(from_proto(h).clock_state, ClockState::synchronised);
}

TEST(ConvertHello, ThePositionOfASoundHelloIsKept) {
  station_v1::Hello hello;
  hello.set_station("QUILL-POINT");
  hello.set_stream_id(9);
  hello.mutable_position()->set_latitude_deg(41.02);
  hello.mutable_position()->set_longitude_deg(-150.12);
  ASSERT_EQ(hello_problem(hello), std::nullopt);
  const HelloRequest request = from_proto(hello, "ipv4:127.0.0.1:4711");
  EXPECT_EQ(request.position, (GeoPoint{41.02, -150.12}));
  EXPECT_EQ(request.peer, "ipv4:127.0.0.1:4711");
}

}  // namespace
}  // namespace fixwright::rpc
