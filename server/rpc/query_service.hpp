#pragma once

#include <cstddef>

#include "fixwright/query/v1/query.grpc.pb.h"
#include "server/rpc/live_streams.hpp"
#include "server/rpc/query_port.hpp"
#include "server/rpc/workers.hpp"

namespace fixwright::rpc {

namespace query_v1 = fixwright::query::v1;

/// What the query service needs; all of it outlives the service.
struct QueryParts {
  QueryPort& port;
  Workers& workers;
  LiveStreams& streams;
  std::size_t watch_queue;
};

/// fixwright.query.v1.QueryService over the port. Every call of the port runs on a worker.
class QueryService final : public query_v1::QueryService::CallbackService {
 public:
  explicit QueryService(QueryParts parts) : parts_(parts) {}

  grpc::ServerUnaryReactor* ListEmitters(grpc::CallbackServerContext* context,
                                         const query_v1::ListEmittersRequest* request,
                                         query_v1::ListEmittersResponse* response) override;
  grpc::ServerUnaryReactor* GetEmitter(grpc::CallbackServerContext* context,
                                       const query_v1::GetEmitterRequest* request,
                                       query_v1::GetEmitterResponse* response) override;
  grpc::ServerUnaryReactor* ListStations(grpc::CallbackServerContext* context,
                                         const query_v1::ListStationsRequest* request,
                                         query_v1::ListStationsResponse* response) override;
  grpc::ServerWriteReactor<query_v1::WatchEmittersResponse>* WatchEmitters(
      grpc::CallbackServerContext* context, const query_v1::WatchEmittersRequest* request) override;
  grpc::ServerWriteReactor<query_v1::WatchAlertsResponse>* WatchAlerts(
      grpc::CallbackServerContext* context, const query_v1::WatchAlertsRequest* request) override;

 private:
  const QueryParts parts_;
};

}  // namespace fixwright::rpc
