/// The server goes away: nothing that was taken is lost, nobody waits for ever.

#include <thread>

#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

class DrainTest : public RpcTest {
 protected:
  ~DrainTest() override {
    if (stopping_.joinable()) stopping_.join();
  }
  void stop_in_background(Duration patience) {
    stopping_ = std::thread([this, patience] { server->drain_and_stop(patience); });
  }
  void wait_until_stopped() { stopping_.join(); }

 private:
  std::thread stopping_;
};

TEST_F(DrainTest, AStationIsAskedToLeaveAndGetsItsLastAcknowledgementFirst) {
  rules.reconnect_after = std::chrono::seconds{7};
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 2);
  const auto batch = stations.batch(0);
  stop_in_background(kPatience);
  const auto drain = agent.receive();
  ASSERT_TRUE(drain.has_drain()) << drain.ShortDebugString();
  EXPECT_EQ(drain.drain().reconnect_after().seconds(), 7);
  batch.done(BatchDone{2, {}});
  EXPECT_EQ(agent.receive().acknowledgement().acknowledged_sequence(), 2U);
  EXPECT_EQ(agent.end().error_code(), grpc::StatusCode::UNAVAILABLE);
  wait_until_stopped();
  EXPECT_THAT(stations.closes(), testing::ElementsAre(testing::Pair(1, 1)));
}

TEST_F(DrainTest, WhatComesAfterTheDrainIsNotTaken) {
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 1);
  const auto batch = stations.batch(0);
  stop_in_background(kPatience);
  ASSERT_TRUE(agent.receive().has_drain());
  agent.bearings(2, 2);
  batch.done(BatchDone{1, {}});
  EXPECT_EQ(agent.receive().acknowledgement().acknowledged_sequence(), 1U);
  agent.end();
  wait_until_stopped();
  EXPECT_EQ(stations.batches(), 1U);
}

TEST_F(DrainTest, AStationWhoseCommitNeverComesIsCutAfterThePatienceAndClosedOnce) {
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 1);
  stations.batch(0);
  server->drain_and_stop(std::chrono::milliseconds{50});
  EXPECT_FALSE(agent.end().ok());
  EXPECT_THAT(stations.closes(), testing::ElementsAre(testing::Pair(1, 1)));
}

TEST_F(DrainTest, AStreamWithoutHelloDoesNotHoldTheServerUp) {
  Agent agent(channel());
  // gRPC gives both channels one connection: when the second stream was answered, the first has
  // come too.
  Agent second(channel());
  second.join();
  stop_in_background(kPatience);
  EXPECT_EQ(agent.end().error_code(), grpc::StatusCode::UNAVAILABLE);
  second.end();
  wait_until_stopped();
}

TEST_F(DrainTest, StoppingTwiceAndStoppingAServerThatNeverStartedAreFine) {
  start();
  server->drain_and_stop(std::chrono::seconds{1});
  server->drain_and_stop(std::chrono::seconds{1});
  Server never(rules, stations, queries, decisions, metrics);
  never.set_ready(true);
  never.drain_and_stop(std::chrono::seconds{1});
  EXPECT_TRUE(stations.closes().empty());
}

}  // namespace
}  // namespace fixwright::rpc
