/// What the operator is told when the server cannot listen.

#include "server/rpc/listen_address.hpp"
#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

using testing::HasSubstr;
using testing::StartsWith;

class ListenTest : public RpcTest {};

TEST_F(ListenTest, ASecondServerOnThePortIsRefusedInOneLineAndTheFirstGoesOn) {
  start();
  ServerRules same = rules;
  same.listen_address = "127.0.0.1:" + std::to_string(port);
  Server second(same, stations, queries, decisions, metrics);
  const auto bound = second.start();
  ASSERT_FALSE(bound.ok());
  EXPECT_THAT(bound.error(),
              StartsWith("rpc.listen = " + same.listen_address + ": address in use"));
  EXPECT_THAT(bound.error(), HasSubstr("Nothing was started."));
  Agent agent(channel());
  agent.join();
}

TEST_F(ListenTest, APortIsFreeAgainOnceItsServerHasStopped) {
  start();
  server->drain_and_stop(std::chrono::seconds{1});
  rules.listen_address = "127.0.0.1:" + std::to_string(port);
  start();
  Agent agent(channel());
  agent.join();
}

TEST(ListenAddress, ThatIsNoAddressSaysWhatOneLooksLike) {
  for (const char* wrong : {"", "7440", "127.0.0.1", "127.0.0.1:", ":7440", "127.0.0.1:70000",
                            "127.0.0.1:-1", "127.0.0.1:74x", "::1:7440", "[]:7440"}) {
    EXPECT_THAT(listen_problem(wrong).value_or("accepted"), HasSubstr("must be host:port"))
        << wrong;
  }
}

TEST(ListenAddress, OfAnotherMachineIsNotOurs) {
  // 192.0.2.0/24 is set aside for documentation: RFC 5737. No machine has it.
  EXPECT_THAT(listen_problem("192.0.2.1:0").value_or("accepted"), HasSubstr("no such address"));
}

TEST(ListenAddress, OnAnyAddressWithAFreePortIsFine) {
  EXPECT_EQ(listen_problem("0.0.0.0:0"), std::nullopt);
  EXPECT_EQ(listen_problem("localhost:0"), std::nullopt);
}

}  // namespace
}  // namespace fixwright::rpc
