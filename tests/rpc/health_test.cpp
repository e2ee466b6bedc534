/// Source: "GRPC Health Checking Protocol",
/// github.com/grpc/grpc/blob/master/doc/health-checking.md, and the comments of
/// grpc/health/v1/health.proto in github.com/grpc/grpc-proto: an unknown service is NOT_FOUND to
/// Check; Watch sends SERVICE_UNKNOWN and stays open.

#include "health.grpc.pb.h"
#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

namespace health_v1 = grpc::health::v1;
using health_v1::HealthCheckResponse;

constexpr const char* kStationService = "fixwright.station.v1.StationService";
constexpr const char* kQueryService = "fixwright.query.v1.QueryService";
constexpr const char* kDecisionService = "fixwright.decision.v1.DecisionService";

class HealthTest : public RpcTest {
 protected:
  grpc::Status check(const std::string& service, HealthCheckResponse& response) {
    grpc::ClientContext context;
    context.set_deadline(std::chrono::system_clock::now() + kPatience);
    health_v1::HealthCheckRequest request;
    request.set_service(service);
    return health_v1::Health::NewStub(channel())->Check(&context, request, &response);
  }
  HealthCheckResponse::ServingStatus status_of(const std::string& service) {
    HealthCheckResponse response;
    const grpc::Status status = check(service, response);
    EXPECT_TRUE(status.ok()) << status.error_message();
    return response.status();
  }
};

TEST_F(HealthTest, EachServiceAndTheWholeFollowReadiness) {
  start();
  for (const char* service : {"", kStationService, kQueryService, kDecisionService}) {
    EXPECT_EQ(status_of(service), HealthCheckResponse::NOT_SERVING) << "before set_ready";
  }
  server->set_ready(true);
  for (const char* service : {"", kStationService, kQueryService, kDecisionService}) {
    EXPECT_EQ(status_of(service), HealthCheckResponse::SERVING);
  }
  server->set_ready(false);
  for (const char* service : {"", kStationService, kQueryService, kDecisionService}) {
    EXPECT_EQ(status_of(service), HealthCheckResponse::NOT_SERVING);
  }
}

TEST_F(HealthTest, AnUnknownServiceIsNotFoundToCheck) {
  HealthCheckResponse response;
  EXPECT_EQ(check("fixwright.station.v9.StationService", response).error_code(),
            grpc::StatusCode::NOT_FOUND);
}

TEST_F(HealthTest, AWatchSendsTheStatusAndEachChange) {
  start();
  grpc::ClientContext context;
  context.set_deadline(std::chrono::system_clock::now() + kPatience);
  health_v1::HealthCheckRequest request;
  request.set_service(kStationService);
  const auto stub = health_v1::Health::NewStub(channel());
  const auto watch = stub->Watch(&context, request);
  HealthCheckResponse response;
  ASSERT_TRUE(watch->Read(&response));
  EXPECT_EQ(response.status(), HealthCheckResponse::NOT_SERVING);
  server->set_ready(true);
  ASSERT_TRUE(watch->Read(&response));
  EXPECT_EQ(response.status(), HealthCheckResponse::SERVING);
  context.TryCancel();
}

TEST_F(HealthTest, AWatchOfAnUnknownServiceSaysSoAndStaysOpen) {
  const auto stub = health_v1::Health::NewStub(channel());
  grpc::ClientContext context;
  context.set_deadline(std::chrono::system_clock::now() + std::chrono::milliseconds{400});
  health_v1::HealthCheckRequest request;
  request.set_service("fixwright.nothing");
  const auto watch = stub->Watch(&context, request);
  HealthCheckResponse response;
  ASSERT_TRUE(watch->Read(&response));
  EXPECT_EQ(response.status(), HealthCheckResponse::SERVICE_UNKNOWN);
  EXPECT_FALSE(watch->Read(&response));
  EXPECT_EQ(watch->Finish().error_code(), grpc::StatusCode::DEADLINE_EXCEEDED)
      << "the server ended it, not our deadline";
}

TEST_F(HealthTest, AnOpenWatchDoesNotHoldUpTheEndOfTheServer) {
  const auto stub = health_v1::Health::NewStub(channel());
  grpc::ClientContext context;
  const auto watch = stub->Watch(&context, {});
  HealthCheckResponse response;
  ASSERT_TRUE(watch->Read(&response));
  server->drain_and_stop(std::chrono::hours{1});
  while (watch->Read(&response)) {
    EXPECT_EQ(response.status(), HealthCheckResponse::NOT_SERVING);
  }
  EXPECT_FALSE(watch->Finish().ok());
}

}  // namespace
}  // namespace fixwright::rpc
