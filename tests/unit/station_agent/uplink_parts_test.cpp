// The uplink's pure parts.
#include <gmock/gmock.h>

#include <cmath>

#include "station_agent/uplink/backoff.hpp"
#include "station_agent/uplink/encode.hpp"
#include "station_agent/uplink/low_watermark.hpp"
#include "station_agent/uplink/send_window.hpp"
#include "station_agent/uplink/status_advice.hpp"
#include "station_agent/uplink/wire.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using testing::HasSubstr;

constexpr TimePoint kNow{seconds{1'900'000'000}};

// ---- Encoding ---------------------------------------------------------------------------------

TEST(Encode, OnlyAStationThatMovesSaysWhereItWas) {
  SourceBearing b{.start = kNow, .frequency_hz = 1e8, .azimuth_deg = 10.0, .sigma_deg = 2.0};
  const ClockReading clock{ClockState::synchronised, milliseconds{3}};
  wire::Bearing sent;
  ASSERT_TRUE(decode(SpooledBearing{1, kNow, encode(b, clock).payload}, sent));
  EXPECT_FALSE(sent.has_station_position());
  b.position = SourcePosition{41.25, -150.5, 12.5, 4.25};
  ASSERT_TRUE(decode(SpooledBearing{1, kNow, encode(b, clock).payload}, sent));
  EXPECT_EQ(sent.station_position().latitude_deg(), 41.25);
  EXPECT_EQ(sent.station_position().longitude_deg(), -150.5);
  EXPECT_EQ(sent.station_position().height_m(), 12.5);
  EXPECT_EQ(sent.station_position().position_sigma_m(), 4.25);
}

// ---- Backoff ----------------------------------------------------------------------------------

TEST(Backoff, CeilingDoublesUpToTheCapAndBeginsAgainAfterSuccess) {
  Backoff backoff({milliseconds{500}, seconds{3}}, [] { return 1.0; });
  EXPECT_EQ(backoff.next(), milliseconds{500});
  EXPECT_EQ(backoff.next(), seconds{1});
  EXPECT_EQ(backoff.next(), seconds{2});
  EXPECT_EQ(backoff.next(), seconds{3});
  EXPECT_EQ(backoff.next(), seconds{3});
  backoff.reset();
  EXPECT_EQ(backoff.next(), milliseconds{500});
}

TEST(Backoff, JitterIsFullFromNothingToTheCeiling) {
  double u = 0.0;
  Backoff backoff({seconds{1}, seconds{1}}, [&u] { return u; });
  EXPECT_EQ(backoff.next(), Duration{0});
  u = 0.25;
  EXPECT_EQ(backoff.next(), milliseconds{250});
}

TEST(Backoff, ThousandsOfFailuresStayAtTheCap) {
  Backoff backoff({milliseconds{500}, seconds{30}}, [] { return 1.0; });
  for (int i = 0; i < 10'000; ++i) EXPECT_LE(backoff.next(), seconds{30});
}

TEST(Backoff, NamedWaitIsSpreadByAQuarterAtMost) {
  Backoff backoff({}, [] { return 1.0; });
  EXPECT_EQ(backoff.spread(seconds{8}), seconds{10});
}

// ---- Watermark --------------------------------------------------------------------------------

TEST(LowWatermark, IsWhatTheSourcePromisesWhenAllIsSent) {
  LowWatermark mark(seconds{30});
  EXPECT_EQ(mark.advance(kNow - seconds{2}, std::nullopt, kNow), kNow - seconds{2});
}

TEST(LowWatermark, IsNeverLaterThanTheOldestUnsentBearing) {
  LowWatermark mark(seconds{30});
  EXPECT_EQ(mark.advance(kNow - seconds{2}, kNow - seconds{9}, kNow), kNow - seconds{9});
}

TEST(LowWatermark, BacklogOlderThanTheHoldIsHistoryAndHoldsNothingBack) {
  LowWatermark mark(seconds{30});
  EXPECT_EQ(mark.advance(kNow - seconds{2}, kNow - std::chrono::hours{5}, kNow),
            kNow - seconds{30});
}

TEST(LowWatermark, NeverGoesBack) {
  LowWatermark mark(seconds{30});
  mark.advance(kNow - seconds{2}, std::nullopt, kNow);
  EXPECT_EQ(mark.advance(kNow - seconds{9}, kNow - seconds{9}, kNow + seconds{1}),
            kNow - seconds{2});
}

// ---- Window -----------------------------------------------------------------------------------

TEST(SendWindow, RoomIsTheLeastOfBatchWindowAndRate) {
  SendWindow window({.max_batch = 10, .max_per_second = 1000, .max_in_flight = 15}, 100,
                    Duration{0});
  EXPECT_EQ(window.room(Duration{0}), 10U);
  for (std::uint64_t s = 101; s <= 110; ++s) window.sent(s);
  EXPECT_EQ(window.room(Duration{0}), 5U);
  for (std::uint64_t s = 111; s <= 115; ++s) window.sent(s);
  EXPECT_EQ(window.room(Duration{0}), 0U);
  window.acknowledged(103);
  EXPECT_EQ(window.in_flight(), 12U);
  EXPECT_EQ(window.room(Duration{0}), 3U);
  EXPECT_EQ(window.last_sent(), 115U);
}

TEST(SendWindow, InAnyTenSecondsAtMostTenTimesTheRateGoesOut) {
  SendWindow window({.max_batch = 50, .max_per_second = 100, .max_in_flight = 1'000'000}, 0,
                    Duration{0});
  std::vector<double> sent_at_s;
  std::uint64_t sequence = 0;
  for (int ms = 0; ms < 60'000; ms += 20) {
    const Duration now = milliseconds{ms};
    for (std::uint32_t n = window.room(now); n > 0; --n) {
      window.sent(++sequence);
      sent_at_s.push_back(fixwright::seconds(now));
    }
  }
  for (std::size_t first = 0; first + 1001 < sent_at_s.size(); ++first) {
    EXPECT_GE(sent_at_s[first + 1001] - sent_at_s[first], 10.0);
  }
  EXPECT_GT(sent_at_s.size(), 5000U);  // and it does use most of the rate: 60 s at 100 a second
}

// ---- Encoding ---------------------------------------------------------------------------------

SourceBearing full_bearing() {
  SourceBearing b{.start = kNow + Duration{123'456'789},
                  .integration = milliseconds{200},
                  .frequency_hz = 433.92e6,
                  .azimuth_deg = 118.25,
                  .sigma_deg = 2.0,
                  .alternatives = {{200.0, 0.5}},
                  .field_strength_dbuv_per_m = 32.0,
                  .level_dbfs = -40.0,
                  .snr_db = 17.0,
                  .bandwidth_hz = 12'500.0,
                  .label = "OSM-12"};
  b.overload = true;
  b.simulated = true;
  return b;
}

TEST(Encode, EveryFieldArrivesOnTheWire) {
  const SpoolItem item = encode(full_bearing(), {ClockState::unsynchronised, milliseconds{1500}});
  wire::Bearing b;
  ASSERT_TRUE(decode({17, item.start, item.payload}, b));
  EXPECT_EQ(b.sequence(), 17U);
  EXPECT_EQ(b.start_time().seconds(), 1'900'000'000);
  EXPECT_EQ(b.start_time().nanos(), 123'456'789);
  EXPECT_EQ(b.integration().nanos(), 200'000'000);
  EXPECT_EQ(b.clock_error().seconds(), 1);
  EXPECT_EQ(b.clock_error().nanos(), 500'000'000);
  EXPECT_EQ(b.frequency_hz(), 433.92e6);
  EXPECT_EQ(b.azimuth_deg(), 118.25);
  EXPECT_EQ(b.azimuth_sigma_deg(), 2.0);
  ASSERT_EQ(b.alternatives_size(), 1);
  EXPECT_EQ(b.alternatives(0).weight(), 0.5);
  EXPECT_EQ(b.field_strength_dbuv_per_m(), 32.0);
  EXPECT_EQ(b.level_dbfs(), -40.0);
  EXPECT_EQ(b.snr_db(), 17.0);
  EXPECT_EQ(b.bandwidth_hz(), 12'500.0);
  EXPECT_EQ(b.label(), "OSM-12");
  EXPECT_THAT(b.flags(), testing::ElementsAre(wire::BEARING_FLAG_OVERLOAD,
                                              wire::BEARING_FLAG_CLOCK_UNSYNCHRONISED,
                                              wire::BEARING_FLAG_SIMULATED));
}

TEST(Encode, WhatTheSourceDoesNotKnowIsAbsentNotZero) {
  SourceBearing bare{.start = kNow, .frequency_hz = 1e8, .azimuth_deg = 0.0, .sigma_deg = 1.0};
  const SpoolItem item = encode(bare, {ClockState::synchronised, Duration{0}});
  wire::Bearing b;
  ASSERT_TRUE(decode({1, item.start, item.payload}, b));
  EXPECT_FALSE(b.has_level_dbfs() || b.has_snr_db() || b.has_bandwidth_hz() || b.has_label() ||
               b.has_field_strength_dbuv_per_m() || b.has_channel_id() || b.has_station_position());
  EXPECT_EQ(b.flags_size(), 0);
}

TEST(Encode, DamagedBytesAreNoticed) {
  wire::Bearing b;
  EXPECT_FALSE(decode({1, kNow, "\xFF\xFF\xFF"}, b));
}

TEST(WireTime, NanosCountForwardAlsoBefore1970) {
  google::protobuf::Timestamp t;
  set_time(TimePoint{milliseconds{-250}}, t);
  EXPECT_EQ(t.seconds(), -1);
  EXPECT_EQ(t.nanos(), 750'000'000);
}

// ---- Advice -----------------------------------------------------------------------------------

TEST(StatusAdvice, RefusalsSayWhatAPersonMustDo) {
  using grpc::StatusCode;
  const auto advice = [](StatusCode code) {
    return advice_on(grpc::Status(code, "what\nthe server said"), "host:1", "HILL-1");
  };
  for (const auto code : {StatusCode::NOT_FOUND, StatusCode::ALREADY_EXISTS,
                          StatusCode::FAILED_PRECONDITION, StatusCode::INVALID_ARGUMENT}) {
    EXPECT_TRUE(advice(code).needs_person);
    EXPECT_THAT(advice(code).line,
                testing::AllOf(HasSubstr("HILL-1"), HasSubstr("the server said")));
    EXPECT_EQ(advice(code).line.find('\n'), std::string::npos);
  }
  EXPECT_THAT(advice(StatusCode::NOT_FOUND).line, HasSubstr("register station HILL-1"));
  EXPECT_THAT(advice(StatusCode::ALREADY_EXISTS).line, HasSubstr("stop the other agent"));
  EXPECT_FALSE(advice(StatusCode::UNAVAILABLE).needs_person);
  EXPECT_FALSE(advice(StatusCode::RESOURCE_EXHAUSTED).needs_person);
}

}  // namespace
}  // namespace fixwright::agent
