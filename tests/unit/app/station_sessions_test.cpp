#include "server/app/station_sessions.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <future>

#include "tests/unit/app/memory_log.hpp"

namespace fixwright::app {
namespace {

using ::testing::HasSubstr;

const TimePoint kNow = parse_rfc3339("2031-05-04T10:15:00Z").value();

Stations one_station() {
  Station station;
  station.id = 1;
  station.name = "MOSS-RIDGE";
  station.position = {41.330, -150.020};
  return {{1, station}};
}

IngestConfig limits_of(std::uint32_t max_in_flight) {
  IngestConfig config;
  config.limits = {1000, 1000, max_in_flight};
  return config;
}

/// The port over a log in memory, with a clock that stands still.
class StationSessionsTest : public ::testing::Test {
 protected:
  rpc::HelloRequest hello(const std::string& station = "MOSS-RIDGE") {
    rpc::HelloRequest request;
    request.station = station;
    request.stream = 9;
    return request;
  }

  Bearing bearing(std::uint64_t sequence, double azimuth_deg = 45.0) {
    Bearing b;
    b.key.sequence = sequence;
    b.key.stream = 9;
    b.start = kNow;
    b.frequency_hz = 156.5e6;
    b.azimuth_deg = azimuth_deg;
    b.sigma_deg = 2.0;
    return b;
  }

  rpc::BatchOutcome submit(rpc::SessionId session, std::vector<Bearing> bearings) {
    std::promise<rpc::BatchOutcome> outcome;
    sessions.submit(session, std::move(bearings),
                    [&](rpc::BatchOutcome o) { outcome.set_value(std::move(o)); });
    return outcome.get_future().get();
  }

  rpc::SessionId opened() { return std::get<rpc::Grant>(sessions.open(hello())).session; }

  MemoryLog log;
  Metrics metrics;
  ManualClock clock{kNow};
  ingest::ChannelMap channels = ingest::ChannelMap::make({}, 12'500.0).value();
  StationBoard board{one_station()};
  std::vector<Heartbeat> heartbeats;
  BearingWriter writer{log, WriterRules{}, metrics, [](std::vector<Bearing>) {}};
  StationSessions sessions{
      one_station(), limits_of(10), std::chrono::seconds{20},
      StationSessions::Parts{channels, log, writer, board, clock, metrics,
                             [this](const Heartbeat& h) { heartbeats.push_back(h); }}};
};

TEST_F(StationSessionsTest, AnUnknownStationIsDeniedWithTheRemedy) {
  const auto answer = sessions.open(hello("NOWHERE"));
  const auto& denied = std::get<rpc::OpenDenied>(answer);
  EXPECT_EQ(denied.reason, rpc::OpenRefusal::unknown_station);
  EXPECT_THAT(denied.message, HasSubstr("[[station]]"));
}

TEST_F(StationSessionsTest, ASecondAgentOfTheSameNameIsDeniedUntilTheFirstHasGone) {
  const rpc::SessionId first = opened();
  const auto second = sessions.open(hello());
  EXPECT_EQ(std::get<rpc::OpenDenied>(second).reason, rpc::OpenRefusal::already_connected);
  sessions.close(first);
  EXPECT_TRUE(std::holds_alternative<rpc::Grant>(sessions.open(hello())));
}

TEST_F(StationSessionsTest, AnAgentThatStandsElsewhereIsDeniedWithTheDistance) {
  rpc::HelloRequest request = hello();
  request.position = GeoPoint{41.330, -150.010};
  const auto answer = sessions.open(request);
  const auto& denied = std::get<rpc::OpenDenied>(answer);
  EXPECT_EQ(denied.reason, rpc::OpenRefusal::disagrees);
  // 0.01 degree of longitude at 41.33 N: 111.320 km * cos(lat) / 100, on WGS84 837 m.
  EXPECT_THAT(denied.message, HasSubstr("837 m"));
}

TEST_F(StationSessionsTest, TheAcknowledgementCoversWhatWasRefused) {
  const rpc::SessionId session = opened();
  const auto outcome = submit(session, {bearing(1), bearing(2, 361.5)});
  const auto& done = std::get<rpc::BatchDone>(outcome);
  EXPECT_EQ(done.acknowledged_sequence, 2U);
  ASSERT_EQ(done.refusals.size(), 1U);
  EXPECT_EQ(done.refusals[0].reason, "azimuth_range");
  EXPECT_EQ(log.stored().size(), 1U);
}

TEST_F(StationSessionsTest, TheNextSessionStartsAtTheStreamsMark) {
  const rpc::SessionId first = opened();
  submit(first, {bearing(1), bearing(2)});
  sessions.close(first);
  EXPECT_EQ(std::get<rpc::Grant>(sessions.open(hello())).acknowledged_sequence, 2U);
}

TEST_F(StationSessionsTest, MoreInFlightThanGrantedEndsTheSession) {
  const rpc::SessionId session = opened();
  std::vector<Bearing> many;
  for (std::uint64_t i = 1; i <= 11; ++i) many.push_back(bearing(i));
  const auto outcome = submit(session, std::move(many));
  EXPECT_TRUE(std::get<rpc::BatchDenied>(outcome).over_limit);
  EXPECT_TRUE(log.stored().empty());
}

TEST_F(StationSessionsTest, AHeartbeatComesAfterTheBearingsItSpeaksOf) {
  const rpc::SessionId session = opened();
  sessions.heartbeat(session, Heartbeat{});
  submit(session, {bearing(1)});  // waits for the writer, which had the heartbeat before
  ASSERT_EQ(heartbeats.size(), 1U);
  EXPECT_EQ(heartbeats[0].station, 1);
  EXPECT_EQ(heartbeats[0].received_at, kNow);
}

TEST_F(StationSessionsTest, WithTheDatabaseAwayNoSessionIsOpened) {
  log.fail(1);
  const auto answer = sessions.open(hello());
  EXPECT_EQ(std::get<rpc::OpenDenied>(answer).reason, rpc::OpenRefusal::unavailable);
}

}  // namespace
}  // namespace fixwright::app
