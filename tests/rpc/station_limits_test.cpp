/// What happens to a station that passes a limit or sends what is no message.

#include <grpcpp/generic/generic_stub.h>
#include <grpcpp/impl/codegen/proto_utils.h>

#include <random>

#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

using grpc::StatusCode;
using testing::HasSubstr;

class StationLimitsTest : public RpcTest {};

TEST_F(StationLimitsTest, ABatchPastMaxBatchEndsTheSession) {
  stations.grant.limits.max_batch = 3;
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 4);
  const grpc::Status status = agent.end();
  EXPECT_EQ(status.error_code(), StatusCode::RESOURCE_EXHAUSTED);
  EXPECT_THAT(status.error_message(), HasSubstr("a batch of 4 bearings, at most 3"));
  EXPECT_EQ(stations.batches(), 0U);
}

TEST_F(StationLimitsTest, MoreInFlightThanGrantedEndsTheSession) {
  stations.grant.limits = {10, 1000, 15};
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 10);
  agent.bearings(11, 16);
  const grpc::Status status = agent.end();
  EXPECT_EQ(status.error_code(), StatusCode::RESOURCE_EXHAUSTED);
  EXPECT_THAT(status.error_message(), HasSubstr("16 bearings sent and not acknowledged"));
  EXPECT_THAT(stations.closes(), testing::ElementsAre(testing::Pair(1, 1)));
}

TEST_F(StationLimitsTest, AnAgentThatKeepsExactlyToTheWindowIsNeverRefused) {
  stations.grant.limits = {5, 1000, 5};
  stations.at_once = [](const auto& batch) { return BatchDone{batch.back().key.sequence, {}}; };
  Agent agent(channel());
  agent.join();
  for (std::uint64_t first = 1; first <= 2000; first += 5) {
    ASSERT_TRUE(agent.bearings(first, first + 4));
    ASSERT_EQ(agent.receive().acknowledgement().acknowledged_sequence(), first + 4);
  }
}

TEST_F(StationLimitsTest, ABatchThatThePortDeniesEndsTheSessionWithItsReason) {
  stations.at_once = [](const auto&) { return BatchDenied{true, "more than 9 a second"}; };
  {
    Agent agent(channel());
    agent.join();
    agent.bearings(1, 1);
    const grpc::Status status = agent.end();
    EXPECT_EQ(status.error_code(), StatusCode::RESOURCE_EXHAUSTED);
    EXPECT_EQ(status.error_message(), "more than 9 a second");
  }
  stations.at_once = [](const auto&) { return BatchDenied{false, "store: lost the database"}; };
  Agent agent(channel());
  agent.join();
  agent.bearings(1, 1);
  EXPECT_EQ(agent.end().error_code(), StatusCode::UNAVAILABLE);
  EXPECT_THAT(stations.closes(), testing::ElementsAre(testing::Pair(1, 1), testing::Pair(2, 1)));
}

TEST_F(StationLimitsTest, AMessagePastTheSizeLimitEndsOnlyItsOwnStream) {
  rules.max_message_bytes = 64 * 1024;
  stations.grant.limits = {1'000'000, 1'000'000, 1'000'000};
  const auto shared = channel();
  Agent other(shared);
  other.join();
  Agent agent(shared);
  agent.join();
  agent.bearings(1, 5000);  // about 45 bytes each
  EXPECT_EQ(agent.end().error_code(), StatusCode::RESOURCE_EXHAUSTED);
  other.bearings(1, 1);
  EXPECT_EQ(stations.batch(0).bearings.size(), 1U);
}

/// Sends bytes as one message of the stream and reports how the stream ended.
grpc::Status end_after_bytes(const std::shared_ptr<grpc::Channel>& channel,
                             const std::vector<std::string>& messages) {
  grpc::GenericStub stub(channel);
  grpc::ClientContext context;
  context.set_deadline(std::chrono::system_clock::now() + kPatience);
  grpc::CompletionQueue queue;
  const auto next = [&queue] {
    void* tag = nullptr;
    bool ok = false;
    return queue.Next(&tag, &ok) && ok;
  };
  auto call = stub.PrepareCall(&context, "/fixwright.station.v1.StationService/Stream", &queue);
  call->StartCall(&call);
  next();
  for (const std::string& bytes : messages) {
    const grpc::Slice slice(bytes);
    call->Write(grpc::ByteBuffer(&slice, 1), &call);
    if (!next()) break;
  }
  grpc::ByteBuffer unread;  // the status comes after all messages
  do {
    call->Read(&unread, &call);
  } while (next());
  grpc::Status status;
  call->Finish(&status, &call);
  next();
  queue.Shutdown();
  return status;
}

std::string hello_bytes() {
  station_v1::StationMessage message;
  message.mutable_hello()->set_station("MOSS-RIDGE");
  message.mutable_hello()->set_stream_id(7);
  return message.SerializeAsString();
}

TEST_F(StationLimitsTest, BytesThatAreNoMessageEndTheStreamWithALineThatSaysWhichMessage) {
  const grpc::Status status = end_after_bytes(channel(), {hello_bytes(), "\x0a\xff\xff\xff"});
  EXPECT_EQ(status.error_code(), kInvalid);
  EXPECT_THAT(status.error_message(), HasSubstr("message 2 of the stream is no"));
  EXPECT_TRUE(stations.wait_until_closed());
}

TEST_F(StationLimitsTest, TextThatIsNotUtf8IsNoMessage) {
  std::string bytes = hello_bytes();
  bytes.replace(bytes.find("MOSS"), 4, "M\xc3\x28S");  // an overlong half of a character
  EXPECT_EQ(end_after_bytes(channel(), {bytes}).error_code(), kInvalid);
}

TEST_F(StationLimitsTest, TwoHundredRandomMessagesLeaveTheServerWhole) {
  std::mt19937 random(20310504);
  std::uniform_int_distribution<int> byte(0, 255);
  std::uniform_int_distribution<std::size_t> length(0, 200);
  const auto shared = channel();
  for (int i = 0; i < 200; ++i) {
    std::string bytes(length(random), '\0');
    for (char& c : bytes) c = static_cast<char>(byte(random));
    EXPECT_EQ(end_after_bytes(shared, {bytes}).error_code(), kInvalid);
  }
  Agent agent(shared);
  agent.join();
}

}  // namespace
}  // namespace fixwright::rpc
