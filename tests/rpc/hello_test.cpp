/// Who may open a session, and what a refusal looks like. Statuses as station.proto lists them.

#include <cmath>
#include <thread>

#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

using testing::HasSubstr;

class HelloTest : public RpcTest {
 protected:
  grpc::Status end_after(const station_v1::StationMessage& message) {
    Agent agent(channel());
    agent.send(message);
    return agent.end();
  }

  static station_v1::StationMessage sound_hello() {
    station_v1::StationMessage message;
    message.mutable_hello()->set_station("MOSS-RIDGE");
    message.mutable_hello()->set_stream_id(7);
    return message;
  }

  grpc::StatusCode code_for(OpenRefusal reason) {
    stations.denial = OpenDenied{reason, "why not"};
    const grpc::Status status = end_after(sound_hello());
    EXPECT_EQ(status.error_message(), "why not");
    return status.error_code();
  }
};

TEST_F(HelloTest, ASoundHelloIsWelcomedWithWhatThePortGrants) {
  stations.grant.acknowledged_sequence = 41;
  Agent agent(channel());
  const station_v1::Welcome welcome = agent.join();
  EXPECT_EQ(welcome.acknowledged_sequence(), 41U);
  ASSERT_EQ(welcome.channel_plan().channels_size(), 1);
  EXPECT_EQ(welcome.channel_plan().channels(0).channel_id(), 12);
  EXPECT_EQ(welcome.channel_plan().raster_hz(), 12.5e3);
  EXPECT_EQ(welcome.limits().max_batch(), 100U);
  EXPECT_EQ(welcome.heartbeat_interval().seconds(), 1);
  EXPECT_EQ(welcome.keepalive_interval().seconds(), 20);
  ASSERT_EQ(stations.hellos.size(), 1U);
  EXPECT_EQ(stations.hellos[0].station, "MOSS-RIDGE");
  EXPECT_EQ(stations.hellos[0].stream, 7U);
  EXPECT_FALSE(stations.hellos[0].position.has_value());
  EXPECT_THAT(stations.hellos[0].peer, HasSubstr("127.0.0.1"));
}

TEST_F(HelloTest, AGrantWithoutKeepaliveGetsTheServersOwn) {
  stations.grant.keepalive_interval = Duration{0};
  rules.keepalive = std::chrono::seconds{33};
  Agent agent(channel());
  EXPECT_EQ(agent.join().keepalive_interval().seconds(), 33);
}

TEST_F(HelloTest, BearingsBeforeTheHelloEndTheStream) {
  Agent agent(channel());
  agent.bearings(1, 1);
  const grpc::Status status = agent.end();
  EXPECT_EQ(status.error_code(), kInvalid);
  EXPECT_THAT(status.error_message(), HasSubstr("first message must be a Hello"));
  EXPECT_TRUE(stations.hellos.empty());
}

TEST_F(HelloTest, AnEmptyFirstMessageIsNoHello) { EXPECT_EQ(end_after({}).error_code(), kInvalid); }

TEST_F(HelloTest, ASecondHelloEndsTheSessionAndClosesItOnce) {
  Agent agent(channel());
  agent.join();
  agent.hello();
  const grpc::Status status = agent.end();
  EXPECT_EQ(status.error_code(), kInvalid);
  EXPECT_THAT(status.error_message(), HasSubstr("second Hello"));
  EXPECT_THAT(stations.closes(), testing::ElementsAre(testing::Pair(1, 1)));
}

TEST_F(HelloTest, AStreamThatEndsBeforeItsHelloIsToldSo) {
  Agent agent(channel());
  agent.half_close();
  EXPECT_EQ(agent.end().error_code(), kInvalid);
}

TEST_F(HelloTest, AStreamThatSaysNothingIsEndedAfterTheTimeout) {
  rules.hello_timeout = std::chrono::milliseconds{50};
  Agent agent(channel());
  const grpc::Status status = agent.end();
  EXPECT_EQ(status.error_code(), kInvalid);
  EXPECT_THAT(status.error_message(), HasSubstr("no Hello came in time"));
}

TEST_F(HelloTest, TheTimeoutDoesNotEndAStreamThatSaidHello) {
  rules.hello_timeout = std::chrono::milliseconds{50};
  stations.at_once = [](const auto& batch) { return BatchDone{batch.back().key.sequence, {}}; };
  Agent agent(channel());
  agent.join();
  std::this_thread::sleep_for(std::chrono::milliseconds{150});  // three timeouts
  agent.bearings(1, 1);
  EXPECT_TRUE(agent.receive().has_acknowledgement());
}

TEST_F(HelloTest, AHelloWithAFieldOutOfRangeIsRefusedByFieldAndRule) {
  auto message = sound_hello();
  message.mutable_hello()->set_station("moss ridge\n");
  EXPECT_THAT(end_after(message).error_message(), HasSubstr("hello.station must be 1 to 32"));
  message = sound_hello();
  message.mutable_hello()->set_stream_id(0);
  EXPECT_THAT(end_after(message).error_message(), HasSubstr("hello.stream_id = 0"));
  message = sound_hello();
  message.mutable_hello()->mutable_position()->set_latitude_deg(std::nan(""));
  EXPECT_THAT(end_after(message).error_message(), HasSubstr("hello.position = nan, 0"));
  message = sound_hello();
  message.mutable_hello()->set_agent_version("1\nstation X: connected");
  EXPECT_THAT(end_after(message).error_message(), HasSubstr("hello.agent_version"));
  EXPECT_TRUE(stations.hellos.empty()) << "the port was asked nevertheless";
}

TEST_F(HelloTest, EachDenialOfThePortHasTheStatusThatTheProtoPromises) {
  EXPECT_EQ(code_for(OpenRefusal::unknown_station), grpc::StatusCode::NOT_FOUND);
  EXPECT_EQ(code_for(OpenRefusal::already_connected), grpc::StatusCode::ALREADY_EXISTS);
  EXPECT_EQ(code_for(OpenRefusal::disagrees), grpc::StatusCode::FAILED_PRECONDITION);
  EXPECT_EQ(code_for(OpenRefusal::unavailable), grpc::StatusCode::UNAVAILABLE);
  EXPECT_TRUE(stations.closes().empty()) << "what was not opened is not closed";
}

TEST_F(HelloTest, ADenialIsCountedByStatus) {
  code_for(OpenRefusal::already_connected);
  EXPECT_EQ(
      metrics.counter("fixwright_sessions_refused", "", {{"status", "ALREADY_EXISTS"}}).value(),
      1U);
}

TEST_F(HelloTest, APortThatThrowsIsUnavailable) {
  stations.open_throws = true;
  const grpc::Status status = end_after(sound_hello());
  EXPECT_EQ(status.error_code(), grpc::StatusCode::UNAVAILABLE);
  EXPECT_THAT(status.error_message(), HasSubstr("lost the database"));
}

}  // namespace
}  // namespace fixwright::rpc
