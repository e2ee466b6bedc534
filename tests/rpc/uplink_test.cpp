/// Bearings, heartbeats and acknowledgements of a session that is open.

#include <cmath>

#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

using testing::HasSubstr;

class UplinkTest : public RpcTest {};

TEST_F(UplinkTest, NothingIsAcknowledgedBeforeThePortSaysDone) {
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 3);
  agent.bearings(4, 5);
  auto first = stations.batch(0);
  auto second = stations.batch(1);
  ASSERT_EQ(first.bearings.size(), 3U);
  EXPECT_EQ(second.bearings.back().key.sequence, 5U);

  // Were an acknowledgement sent on receipt it would be ahead of this one and name 5.
  first.done(BatchDone{3, {}});
  const auto message = agent.receive();
  ASSERT_TRUE(message.has_acknowledgement());
  EXPECT_EQ(message.acknowledgement().acknowledged_sequence(), 3U);
  second.done(BatchDone{5, {}});
  EXPECT_EQ(agent.receive().acknowledgement().acknowledged_sequence(), 5U);
}

TEST_F(UplinkTest, RefusalsComeWithTheAcknowledgementThatCoversThem) {
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 2);
  stations.batch(0).done(BatchDone{2, {{2, "azimuth_range", "azimuth 361.5 deg is outside"}}});
  const auto acknowledgement = agent.receive().acknowledgement();
  EXPECT_EQ(acknowledgement.acknowledged_sequence(), 2U);
  ASSERT_EQ(acknowledgement.refusals_size(), 1);
  EXPECT_EQ(acknowledgement.refusals(0).sequence(), 2U);
  EXPECT_EQ(acknowledgement.refusals(0).reason(), "azimuth_range");
  EXPECT_THAT(acknowledgement.refusals(0).message(), HasSubstr("361.5"));
}

TEST_F(UplinkTest, ManyBatchesDoneAreCoveredByFewAcknowledgementsThatNeverFall) {
  constexpr std::uint64_t kBatches = 200;
  stations.grant.limits = {100, 1000, 100'000};
  Agent agent(channel());
  agent.join();
  for (std::uint64_t i = 1; i <= kBatches; ++i) agent.bearings(i, i);
  std::vector<FakeStations::Submitted> batches;
  for (std::uint64_t i = 0; i < kBatches; ++i) batches.push_back(stations.batch(i));
  for (std::uint64_t i = 0; i < kBatches; ++i) {
    batches[i].done(BatchDone{i + 1, {{i + 1, "rate", "too many"}}});
  }
  std::uint64_t last = 0;
  std::uint64_t refusals = 0;
  std::uint64_t acknowledgements = 0;
  while (last < kBatches) {
    const auto message = agent.receive();
    ASSERT_TRUE(message.has_acknowledgement());
    EXPECT_GT(message.acknowledgement().acknowledged_sequence(), last);
    last = message.acknowledgement().acknowledged_sequence();
    refusals += static_cast<std::uint64_t>(message.acknowledgement().refusals_size());
    ++acknowledgements;
  }
  EXPECT_EQ(refusals, kBatches) << "none is lost and none comes twice";
  EXPECT_LE(acknowledgements, kBatches);
}

TEST_F(UplinkTest, AnAcknowledgementNeverFallsBelowTheWelcome) {
  stations.grant.acknowledged_sequence = 50;
  Agent agent(channel());
  agent.join();
  agent.bearings(3, 4);  // sent again, known before
  stations.batch(0).done(BatchDone{4, {}});
  EXPECT_EQ(agent.receive().acknowledgement().acknowledged_sequence(), 50U);
}

TEST_F(UplinkTest, ABearingWithNanAndAbsentFieldsReachesThePortAsItCame) {
  Agent agent(channel());
  agent.join();
  station_v1::StationMessage message;
  auto& b = *message.mutable_bearings()->add_bearings();
  b.set_sequence(1);
  b.set_azimuth_deg(std::nan(""));
  b.set_snr_db(-INFINITY);
  agent.send(message);
  const auto batch = stations.batch(0);
  ASSERT_EQ(batch.bearings.size(), 1U);
  EXPECT_TRUE(std::isnan(batch.bearings[0].azimuth_deg));
  EXPECT_EQ(batch.bearings[0].snr_db, -INFINITY);
  EXPECT_EQ(batch.bearings[0].start, TimePoint::min()) << "ingest refuses it as time_range";
  EXPECT_FALSE(batch.bearings[0].level_dbfs.has_value());
}

TEST_F(UplinkTest, AHeartbeatReachesThePortAndItsSpoolTheMetrics) {
  Agent agent(channel());
  agent.join();
  station_v1::StationMessage message;
  message.mutable_heartbeat()->mutable_low_watermark()->set_seconds(1'900'000'000);
  message.mutable_heartbeat()->mutable_clock_error()->set_nanos(5'000'000);
  message.mutable_heartbeat()->set_clock_state(station_v1::CLOCK_STATE_HOLDOVER);
  message.mutable_heartbeat()->set_spooled_bearings(12);
  message.mutable_heartbeat()->set_dropped_bearings(3);
  agent.send(message);
  ASSERT_TRUE(stations.wait_for_heartbeats(1));
  EXPECT_EQ(stations.heartbeats[0].low_watermark, TimePoint{std::chrono::seconds{1'900'000'000}});
  EXPECT_EQ(stations.heartbeats[0].clock_error, std::chrono::milliseconds{5});
  EXPECT_EQ(stations.heartbeats[0].clock_state, ClockState::holdover);
  const Labels labels{{"station", "MOSS-RIDGE"}};
  EXPECT_EQ(metrics.gauge("fixwright_station_spooled_bearings", "", labels).value(), 12.0);
  EXPECT_EQ(metrics.gauge("fixwright_station_dropped_bearings", "", labels).value(), 3.0);
}

TEST_F(UplinkTest, AMessageOfANewerAgentIsPassedOver) {
  stations.at_once = [](const auto& batch) { return BatchDone{batch.back().key.sequence, {}}; };
  Agent agent(channel());
  agent.join();
  station_v1::StationMessage newer;  // no field that this version knows
  newer.GetReflection()->MutableUnknownFields(&newer)->AddVarint(99, 1);
  agent.send(newer);
  agent.bearings(1, 1);
  EXPECT_EQ(agent.receive().acknowledgement().acknowledged_sequence(), 1U);
}

TEST_F(UplinkTest, AHalfClosedStreamGetsItsLastAcknowledgementAndEndsWell) {
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 4);
  agent.half_close();
  stations.batch(0).done(BatchDone{4, {}});
  EXPECT_EQ(agent.receive().acknowledgement().acknowledged_sequence(), 4U);
  EXPECT_TRUE(agent.end().ok());
  EXPECT_THAT(stations.closes(), testing::ElementsAre(testing::Pair(1, 1)));
}

TEST_F(UplinkTest, AStationThatVanishesIsClosedOnceAndALateDoneDoesNoHarm) {
  std::function<void(BatchOutcome)> late;
  {
    Agent agent(channel());
    agent.join();
    agent.bearings(1, 1);
    late = stations.batch(0).done;
    agent.cancel();
  }
  ASSERT_TRUE(stations.wait_until_closed());
  late(BatchDone{1, {}});
  EXPECT_THAT(stations.closes(), testing::ElementsAre(testing::Pair(1, 1)));
}

TEST_F(UplinkTest, AStationMayConnectAgainAsSoonAsItSawTheEnd) {
  for (int round = 1; round <= 20; ++round) {
    Agent agent(channel());
    agent.join();
    agent.half_close();
    ASSERT_TRUE(agent.end().ok());
    ASSERT_EQ(stations.closes().size(), static_cast<std::size_t>(round))
        << "the port must know of the end before the station does";
  }
}

}  // namespace
}  // namespace fixwright::rpc
