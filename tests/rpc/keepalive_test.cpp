/// gRPC drops a client that pings more often than the server allows (GOAWAY with
/// "too_many_pings": github.com/grpc/grpc/blob/master/doc/keepalive.md).

#include <thread>

#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

class KeepaliveTest : public RpcTest {};

TEST_F(KeepaliveTest, AnAgentThatPingsAsOftenAsItWasToldIsNotDropped) {
  rules.keepalive = std::chrono::seconds{1};
  stations.grant.keepalive_interval = rules.keepalive;
  stations.at_once = [](const auto& batch) { return BatchDone{batch.back().key.sequence, {}}; };
  start();
  grpc::ChannelArguments arguments;
  arguments.SetInt(GRPC_ARG_KEEPALIVE_TIME_MS, 1000);
  arguments.SetInt(GRPC_ARG_KEEPALIVE_PERMIT_WITHOUT_CALLS, 1);
  arguments.SetInt(GRPC_ARG_HTTP2_MAX_PINGS_WITHOUT_DATA, 0);
  Agent agent(grpc::CreateCustomChannel("127.0.0.1:" + std::to_string(port),
                                        grpc::InsecureChannelCredentials(), arguments));
  agent.join();
  // gRPC pings once a second at most; a server that finds them too many allows a first and two
  // more, and drops the connection at the fourth.
  std::this_thread::sleep_for(std::chrono::milliseconds{6500});
  ASSERT_TRUE(agent.bearings(1, 1)) << agent.end().error_message();
  EXPECT_EQ(agent.receive().acknowledgement().acknowledged_sequence(), 1U);
}

}  // namespace
}  // namespace fixwright::rpc
