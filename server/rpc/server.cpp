#include "server/rpc/server.hpp"

#include <fmt/core.h>
#include <google/protobuf/stubs/logging.h>
#include <grpc/support/log.h>
#include <grpcpp/ext/proto_server_reflection_plugin.h>
#include <grpcpp/health_check_service_interface.h>
#include <grpcpp/security/server_credentials.h>
#include <grpcpp/server.h>
#include <grpcpp/server_builder.h>

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <limits>
#include <mutex>
#include <utility>

#include "server/base/log.hpp"
#include "server/rpc/decision_service.hpp"
#include "server/rpc/listen_address.hpp"
#include "server/rpc/query_service.hpp"
#include "server/rpc/station_service.hpp"

namespace fixwright::rpc {

namespace {

/// Ends and openings of sessions; enough that one slow opening does not hold up all others.
constexpr int kSessionThreads = 2;
constexpr std::size_t kMaxWaitingQueries = 64;
/// Longer than a busy host stalls; short, because a dead agent holds its station's name so long.
constexpr Duration kPingTimeout = std::chrono::seconds{10};

/// As gRPC takes it; what an int cannot hold, 24 days, is as good as the longest.
int milliseconds(Duration d) {
  const auto ms = std::chrono::duration_cast<std::chrono::milliseconds>(d).count();
  return static_cast<int>(std::min<std::int64_t>(ms, std::numeric_limits<int>::max()));
}

/// gRPC's settings for the whole process; once, before the first server.
void prepare_grpc() {
  static std::once_flag once;
  std::call_once(once, [] {
    gpr_set_log_function([](gpr_log_func_args* line) {
      if (line->severity == GPR_LOG_SEVERITY_ERROR) log::warn("gRPC: {}", line->message);
    });
    // What protobuf says of bytes that are no message, our own line says with the station.
    google::protobuf::SetLogHandler(nullptr);
    grpc::EnableDefaultHealthCheckService(true);
    grpc::reflection::InitProtoReflectionServerBuilderPlugin();
  });
}

void set_keepalive(grpc::ServerBuilder& builder, const ServerRules& rules) {
  const int keepalive_ms = milliseconds(rules.keepalive);
  builder.AddChannelArgument(GRPC_ARG_KEEPALIVE_TIME_MS, keepalive_ms);
  builder.AddChannelArgument(GRPC_ARG_KEEPALIVE_TIMEOUT_MS, milliseconds(kPingTimeout));
  builder.AddChannelArgument(GRPC_ARG_KEEPALIVE_PERMIT_WITHOUT_CALLS, 1);
  builder.AddChannelArgument(GRPC_ARG_HTTP2_MAX_PINGS_WITHOUT_DATA, 0);
  // Half: a client's timer that runs a little fast is no abuse.
  builder.AddChannelArgument(GRPC_ARG_HTTP2_MIN_RECV_PING_INTERVAL_WITHOUT_DATA_MS,
                             keepalive_ms / 2);
  if (rules.max_connection_age <= Duration{0}) return;
  builder.AddChannelArgument(GRPC_ARG_MAX_CONNECTION_AGE_MS,
                             milliseconds(rules.max_connection_age));
  builder.AddChannelArgument(GRPC_ARG_MAX_CONNECTION_AGE_GRACE_MS, keepalive_ms);
}

}  // namespace

struct Server::Impl {
  Impl(ServerRules given, StationPort& station_port, QueryPort& query_port,
       DecisionPort& decision_port, Metrics& metrics)
      : rules(std::move(given)),
        session_workers(kSessionThreads, kMaxWaitingQueries),
        query_workers(rules.query_threads, kMaxWaitingQueries),
        stations({station_port, session_workers, streams, metrics, rules.hello_timeout,
                  rules.reconnect_after, rules.keepalive}),
        queries({query_port, query_workers, streams, rules.watch_queue}),
        decisions(decision_port, query_workers) {}

  const ServerRules rules;
  LiveStreams streams;
  Workers session_workers;
  Workers query_workers;
  StationService stations;
  QueryService queries;
  DecisionService decisions;
  std::unique_ptr<grpc::Server> server;
};

Server::Server(ServerRules rules, StationPort& stations, QueryPort& queries,
               DecisionPort& decisions, Metrics& metrics)
    : impl_(std::make_unique<Impl>(std::move(rules), stations, queries, decisions, metrics)) {}

Server::~Server() { drain_and_stop(Duration{0}); }

Result<int> Server::start() {
  const std::string& address = impl_->rules.listen_address;
  if (const auto problem = listen_problem(address)) return Error{*problem};
  prepare_grpc();
  grpc::ServerBuilder builder;
  int port = 0;
  builder.AddListeningPort(address, grpc::InsecureServerCredentials(), &port);
  builder.AddChannelArgument(GRPC_ARG_ALLOW_REUSEPORT, 0);
  builder.SetMaxReceiveMessageSize(impl_->rules.max_message_bytes);
  set_keepalive(builder, impl_->rules);
  builder.RegisterService(&impl_->stations);
  builder.RegisterService(&impl_->queries);
  builder.RegisterService(&impl_->decisions);
  impl_->server = builder.BuildAndStart();
  if (impl_->server == nullptr || port == 0) {
    impl_->server.reset();
    return Error{
        fmt::format("rpc.listen = {}: gRPC could not listen. Nothing was started.", address)};
  }
  set_ready(false);
  return port;
}

void Server::set_ready(bool ready) {
  if (impl_->server == nullptr) return;
  auto* health = impl_->server->GetHealthCheckService();
  for (const char* service :
       {"", "fixwright.station.v1.StationService", "fixwright.query.v1.QueryService",
        "fixwright.decision.v1.DecisionService"}) {
    health->SetServingStatus(service, ready);
  }
}

void Server::drain_and_stop(Duration patience) {
  if (impl_->server == nullptr) return;
  set_ready(false);
  impl_->streams.drain();
  if (!impl_->streams.wait_until_none(patience) && patience > Duration{0}) {
    log::warn("rpc: some streams did not end within {} s and are cut", seconds(patience));
  }
  // Watchers of health never end by themselves; unary calls get a moment.
  impl_->server->Shutdown(std::chrono::system_clock::now() + std::chrono::milliseconds{200});
  impl_->streams.wait_until_none(std::chrono::hours{1});  // cut ones: their last reactions
  impl_->server.reset();
}

}  // namespace fixwright::rpc
