/// Unary calls: pages, filters, errors.

#include <cmath>
#include <set>

#include "fixwright/query/v1/query.grpc.pb.h"
#include "tests/rpc/rpc_fixture.hpp"
#include "tests/rpc/views.hpp"

namespace fixwright::rpc {
namespace {

namespace query_v1 = fixwright::query::v1;
using testing::ElementsAre;
using testing::HasSubstr;

class QueryTest : public RpcTest {
 protected:
  QueryTest() {
    queries.stored_stations = {station_view(1, "LANTERN-HEAD"), station_view(2, "MOSS-RIDGE")};
  }

  query_v1::QueryService::Stub& stub() {
    if (!stub_) stub_ = query_v1::QueryService::NewStub(channel());
    return *stub_;
  }
  grpc::Status list(const query_v1::ListEmittersRequest& request,
                    query_v1::ListEmittersResponse& response) {
    grpc::ClientContext context;
    context.set_deadline(std::chrono::system_clock::now() + kPatience);
    return stub().ListEmitters(&context, request, &response);
  }
  grpc::Status get(const query_v1::GetEmitterRequest& request,
                   query_v1::GetEmitterResponse& response) {
    grpc::ClientContext context;
    context.set_deadline(std::chrono::system_clock::now() + kPatience);
    return stub().GetEmitter(&context, request, &response);
  }
  /// The line that a filter is refused with.
  std::string refusal(const query_v1::ListEmittersRequest& request) {
    query_v1::ListEmittersResponse response;
    const grpc::Status status = list(request, response);
    EXPECT_EQ(status.error_code(), kInvalid);
    return status.error_message();
  }

 private:
  std::unique_ptr<query_v1::QueryService::Stub> stub_;
};

TEST_F(QueryTest, PagesHoldEveryEmitterOnceAndTheLastPageHasNoToken) {
  for (std::int64_t id = 1; id <= 25; ++id) {
    queries.stored_emitters.push_back(emitter_view(id, 1'900'000'000 - id / 3));  // ties in time
  }
  query_v1::ListEmittersRequest request;
  request.set_page_size(10);
  std::vector<int> sizes;
  std::set<std::int64_t> seen;
  do {
    query_v1::ListEmittersResponse response;
    ASSERT_TRUE(list(request, response).ok());
    sizes.push_back(response.emitters_size());
    for (const auto& e : response.emitters()) seen.insert(e.emitter_id());
    request.set_page_token(response.next_page_token());
  } while (!request.page_token().empty());
  EXPECT_THAT(sizes, ElementsAre(10, 10, 5));
  EXPECT_EQ(seen.size(), 25U);
}

TEST_F(QueryTest, APageThatIsJustFullHasNoToken) {
  for (std::int64_t id = 1; id <= 10; ++id) {
    queries.stored_emitters.push_back(emitter_view(id, 1'900'000'000 - id));
  }
  query_v1::ListEmittersRequest request;
  request.set_page_size(10);
  query_v1::ListEmittersResponse response;
  ASSERT_TRUE(list(request, response).ok());
  EXPECT_EQ(response.emitters_size(), 10);
  EXPECT_EQ(response.next_page_token(), "");
}

TEST_F(QueryTest, FiltersReachThePort) {
  query_v1::ListEmittersRequest request;
  request.add_states(query_v1::EMITTER_STATE_SILENT);
  request.set_min_frequency_hz(100e6);
  request.set_max_frequency_hz(200e6);
  request.mutable_heard_since()->set_seconds(1'900'000'000);
  query_v1::ListEmittersResponse response;
  ASSERT_TRUE(list(request, response).ok());
  ASSERT_EQ(queries.filters.size(), 1U);
  const EmitterFilter& filter = queries.filters[0];
  EXPECT_THAT(filter.states, ElementsAre(EmitterState::silent));
  EXPECT_EQ(filter.min_frequency_hz, 100e6);
  EXPECT_EQ(filter.max_frequency_hz, 200e6);
  EXPECT_EQ(filter.heard_since, at_second(1'900'000'000));
}

TEST_F(QueryTest, AFilterThatIsOffIsNamedWithItsValue) {
  query_v1::ListEmittersRequest request;
  request.set_page_size(1001);
  EXPECT_THAT(refusal(request), HasSubstr("page_size = 1001: must be 1 to 1000"));
  request.Clear();
  request.set_min_frequency_hz(std::nan(""));
  EXPECT_THAT(refusal(request), HasSubstr("min_frequency_hz = nan"));
  request.Clear();
  request.set_page_token("1900000000.12");
  EXPECT_THAT(refusal(request), HasSubstr("page_token"));
  EXPECT_TRUE(queries.filters.empty()) << "the port was asked nevertheless";
}

TEST_F(QueryTest, AnEmitterComesWithItsFixesAndTheNamesOfItsStations) {
  queries.stored_emitters = {emitter_view(5, 1'900'000'000)};
  FixView fix;
  fix.fix.key = {{12, at_second(1'899'999'990)}, 0};
  fix.bearings = {{{{2, 77, 8812}, -0.4, true}, 42.5, 1.5}};
  queries.stored_fixes.assign(30, fix);
  query_v1::GetEmitterRequest request;
  request.set_channel_id(12);
  request.set_emitter_id(5);
  query_v1::GetEmitterResponse response;
  ASSERT_TRUE(get(request, response).ok());
  EXPECT_THAT(response.emitter().stations(), ElementsAre("LANTERN-HEAD", "MOSS-RIDGE"));
  ASSERT_EQ(response.fixes_size(), 20) << "the default";
  EXPECT_EQ(response.fixes(0).bearings(0).station(), "MOSS-RIDGE");
  EXPECT_EQ(response.fixes(0).bearings(0).sequence(), 8812U);
  request.set_max_fixes(3);
  ASSERT_TRUE(get(request, response).ok());
  EXPECT_EQ(response.fixes_size(), 3);
}

TEST_F(QueryTest, AnEmitterThatIsNotThereIsNotFoundByBothNumbers) {
  query_v1::GetEmitterRequest request;
  request.set_channel_id(12);
  request.set_emitter_id(99);
  query_v1::GetEmitterResponse response;
  const grpc::Status status = get(request, response);
  EXPECT_EQ(status.error_code(), grpc::StatusCode::NOT_FOUND);
  EXPECT_THAT(status.error_message(), HasSubstr("no emitter 99 on channel 12"));
  request.set_max_fixes(1001);
  EXPECT_THAT(get(request, response).error_message(), HasSubstr("max_fixes = 1001"));
}

TEST_F(QueryTest, ADatabaseThatIsAwayIsUnavailableAndComesBack) {
  queries.away = true;
  query_v1::ListEmittersResponse response;
  const grpc::Status status = list({}, response);
  EXPECT_EQ(status.error_code(), grpc::StatusCode::UNAVAILABLE);
  EXPECT_THAT(status.error_message(), HasSubstr("lost the database"));
  queries.away = false;
  EXPECT_TRUE(list({}, response).ok());
}

TEST_F(QueryTest, StationsAreListed) {
  queries.stored_stations[1].connected = true;
  queries.stored_stations[1].last_heartbeat = at_second(1'900'000'000);
  queries.stored_stations[1].bearings_refused = 4;
  grpc::ClientContext context;
  query_v1::ListStationsResponse response;
  ASSERT_TRUE(stub().ListStations(&context, {}, &response).ok());
  ASSERT_EQ(response.stations_size(), 2);
  EXPECT_EQ(response.stations(0).name(), "LANTERN-HEAD");
  EXPECT_FALSE(response.stations(0).has_last_heartbeat());
  EXPECT_TRUE(response.stations(1).connected());
  EXPECT_EQ(response.stations(1).bearings_refused(), 4U);
}

}  // namespace
}  // namespace fixwright::rpc
