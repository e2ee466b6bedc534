/// Many agents at once that come and go as they like: each session is closed once, and the
/// server is whole afterwards. Run it under a sanitizer to learn more.

#include <random>
#include <thread>

#include "fixwright/query/v1/query.grpc.pb.h"
#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

namespace query_v1 = fixwright::query::v1;

class CrowdTest : public RpcTest {
 protected:
  /// One life: hello, some batches, and an end of one of three kinds.
  void live(const std::shared_ptr<grpc::Channel>& shared, unsigned seed) {
    std::mt19937 random(seed);
    Agent agent(shared);
    agent.hello("OSMERE-" + std::to_string(seed), seed + 1);
    const auto batches = random() % 5;
    if (random() % 4 != 0) agent.receive();  // some do not even wait for the Welcome
    for (std::uint64_t i = 0; i < batches; ++i) agent.bearings(i * 10 + 1, i * 10 + 10);
    const auto how = random() % 3;
    if (how == 0) return agent.cancel();
    if (how == 1) agent.half_close();
    if (how == 2) agent.hello();  // against the rules
    agent.end();
  }
};

TEST_F(CrowdTest, EverySessionIsClosedExactlyOnce) {
  // done() comes from threads of its own, as the writer's does, sometimes after the end.
  std::mutex mutex;
  std::vector<std::thread> writers;
  stations.grant.limits = {100, 1000, 100};
  stations.later = [&](std::function<void()> done) {
    const std::lock_guard lock(mutex);
    writers.emplace_back(std::move(done));
  };
  const auto shared = channel();
  std::vector<std::thread> agents;
  for (unsigned worker = 0; worker < 8; ++worker) {
    agents.emplace_back([&, worker] {
      for (unsigned life = 0; life < 25; ++life) live(shared, worker * 25 + life);
    });
  }
  for (auto& agent : agents) agent.join();
  EXPECT_TRUE(stations.wait_until_closed());
  server->drain_and_stop(kPatience);
  for (auto& writer : writers) writer.join();
  const auto closes = stations.closes();
  EXPECT_GT(closes.size(), 100U) << "most of the 200 lives were granted a session";
  for (const auto& [session, times] : closes) EXPECT_EQ(times, 1) << "session " << session;
}

TEST_F(CrowdTest, WatchersComeAndGoWhileChangesFly) {
  rules.watch_queue = 8;
  const auto shared = channel();
  std::atomic<bool> over = false;
  std::thread writer([&] {
    while (!over) {
      queries.emitter_watchers.tell({});
      std::this_thread::sleep_for(std::chrono::microseconds{50});
    }
  });
  const auto stub = query_v1::QueryService::NewStub(shared);
  int messages = 0;
  for (int i = 0; i < 50; ++i) {
    grpc::ClientContext context;
    const auto reader = stub->WatchEmitters(&context, {});
    query_v1::WatchEmittersResponse response;
    for (int read = 0; read < i % 7; ++read) messages += reader->Read(&response) ? 1 : 0;
    context.TryCancel();
    reader->Finish();
  }
  EXPECT_TRUE(queries.emitter_watchers.wait_for_count(0)) << "a subscription outlives its watcher";
  over = true;
  writer.join();
  EXPECT_GT(messages, 100);  // of 147; a watcher may be let go for slowness
}

}  // namespace
}  // namespace fixwright::rpc
