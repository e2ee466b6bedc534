/// Watch calls: first what is, then what changes; the slow are let go.

#include "fixwright/query/v1/query.grpc.pb.h"
#include "tests/rpc/rpc_fixture.hpp"
#include "tests/rpc/views.hpp"

namespace fixwright::rpc {
namespace {

namespace query_v1 = fixwright::query::v1;

class WatchTest : public RpcTest {
 protected:
  using Reader = grpc::ClientReader<query_v1::WatchEmittersResponse>;

  WatchTest() { queries.stored_stations = {station_view(1, "LANTERN-HEAD")}; }

  std::unique_ptr<Reader> watch(grpc::ClientContext& context) {
    context.set_deadline(std::chrono::system_clock::now() + kPatience);
    stub_ = query_v1::QueryService::NewStub(channel());
    return stub_->WatchEmitters(&context, {});
  }
  static std::int64_t next_id(Reader& reader) {
    query_v1::WatchEmittersResponse response;
    EXPECT_TRUE(reader.Read(&response));
    return response.emitter().emitter_id();
  }
  static grpc::Status end_of(Reader& reader) {
    query_v1::WatchEmittersResponse rest;
    while (reader.Read(&rest)) {
    }
    return reader.Finish();
  }

  std::unique_ptr<query_v1::QueryService::Stub> stub_;
};

TEST_F(WatchTest, TheFirstAnswerIsEveryEmitterThenComeTheChanges) {
  constexpr std::int64_t kMany = 2500;  // more than two pages of the port
  for (std::int64_t id = 1; id <= kMany; ++id) {
    queries.stored_emitters.push_back(emitter_view(id, 1'900'000'000 - id));
  }
  grpc::ClientContext context;
  const auto reader = watch(context);
  for (std::int64_t id = 1; id <= kMany; ++id) ASSERT_EQ(next_id(*reader), id);
  queries.emitter_watchers.tell(emitter_view(7, 1'900'000'001));
  EXPECT_EQ(next_id(*reader), 7);
}

TEST_F(WatchTest, AWatcherThatReadsTooSlowlyIsEndedAndTheNextIsNot) {
  rules.watch_queue = 16;
  grpc::ClientContext context;
  const auto reader = watch(context);
  ASSERT_TRUE(queries.emitter_watchers.wait_for_count(1));
  // Far more than the connection's own buffers hold: they take megabytes at most.
  EmitterView bulky = emitter_view(1, 1'900'000'000);
  bulky.name = std::string(100'000, 'n');
  for (int i = 0; i < 1000; ++i) queries.emitter_watchers.tell(bulky);
  const grpc::Status status = end_of(*reader);
  EXPECT_EQ(status.error_code(), grpc::StatusCode::RESOURCE_EXHAUSTED) << status.error_message();
  EXPECT_TRUE(queries.emitter_watchers.wait_for_count(0)) << "its subscription goes on";

  grpc::ClientContext again;
  const auto second = watch(again);
  ASSERT_TRUE(queries.emitter_watchers.wait_for_count(1));
  queries.emitter_watchers.tell(emitter_view(9, 1'900'000'000));
  EXPECT_EQ(next_id(*second), 9);
}

TEST_F(WatchTest, AWatcherThatLeavesEndsItsSubscription) {
  {
    grpc::ClientContext context;
    const auto reader = watch(context);
    ASSERT_TRUE(queries.emitter_watchers.wait_for_count(1));
    context.TryCancel();
    EXPECT_EQ(end_of(*reader).error_code(), grpc::StatusCode::CANCELLED);
  }
  EXPECT_TRUE(queries.emitter_watchers.wait_for_count(0));
}

TEST_F(WatchTest, ADatabaseThatIsAwayEndsTheWatchAsUnavailable) {
  queries.away = true;
  grpc::ClientContext context;
  const auto reader = watch(context);
  EXPECT_EQ(end_of(*reader).error_code(), grpc::StatusCode::UNAVAILABLE);
  EXPECT_TRUE(queries.emitter_watchers.wait_for_count(0));
}

TEST_F(WatchTest, AServerThatGoesAwayEndsTheWatchAsUnavailable) {
  grpc::ClientContext context;
  const auto reader = watch(context);
  ASSERT_TRUE(queries.emitter_watchers.wait_for_count(1));
  server->drain_and_stop(kPatience);
  EXPECT_EQ(end_of(*reader).error_code(), grpc::StatusCode::UNAVAILABLE);
  EXPECT_TRUE(queries.emitter_watchers.wait_for_count(0));
}

TEST_F(WatchTest, AlertsComeOpenOnesFirstWithTheNameOfTheirStation) {
  AlertView open;
  open.alert.id = "station_silent/1";
  open.alert.station = 1;
  queries.stored_alerts = {open};
  const auto stub = query_v1::QueryService::NewStub(channel());
  grpc::ClientContext context;
  context.set_deadline(std::chrono::system_clock::now() + kPatience);
  const auto reader = stub->WatchAlerts(&context, {});
  query_v1::WatchAlertsResponse response;
  ASSERT_TRUE(reader->Read(&response));
  EXPECT_EQ(response.alert().alert_id(), "station_silent/1");
  EXPECT_EQ(response.alert().station(), "LANTERN-HEAD");
  open.acknowledged_at = at_second(1'900'000'000);
  queries.alert_watchers.tell(open);
  ASSERT_TRUE(reader->Read(&response));
  EXPECT_EQ(response.alert().acknowledged_at().seconds(), 1'900'000'000);
  context.TryCancel();
}

}  // namespace
}  // namespace fixwright::rpc
