#pragma once
/// A server in the test's own process that does exactly what the test tells it.

#include <grpcpp/server.h>
#include <grpcpp/server_builder.h>

#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "fixwright/station/v1/station.grpc.pb.h"

namespace fixwright::agent {

namespace wire = ::fixwright::station::v1;

/// One agent's stream, as the test's script sees it.
using ServerStream = grpc::ServerReaderWriter<wire::ServerMessage, wire::StationMessage>;

class FakeServer final : public wire::StationService::Service {
 public:
  /// Plays one stream; its number counts from 0. What it returns ends the stream.
  using Script = std::function<grpc::Status(int stream, ServerStream&)>;

  /// \param port  0 takes a free one.
  explicit FakeServer(Script script, int port = 0) : script_(std::move(script)) {
    grpc::ServerBuilder builder;
    // Without this a second server could share the port and take half of the agents.
    builder.AddChannelArgument(GRPC_ARG_ALLOW_REUSEPORT, 0);
    builder.AddListeningPort("127.0.0.1:" + std::to_string(port), grpc::InsecureServerCredentials(),
                             &port_);
    builder.RegisterService(this);
    server_ = builder.BuildAndStart();
  }
  ~FakeServer() override { server_->Shutdown(std::chrono::system_clock::now()); }

  [[nodiscard]] int port() const { return port_; }
  [[nodiscard]] std::string address() const { return "127.0.0.1:" + std::to_string(port_); }

  grpc::Status Stream(grpc::ServerContext* /*context*/, ServerStream* stream) override {
    int number = 0;
    {
      const std::lock_guard hold(mutex_);
      number = streams_++;
    }
    return script_(number, *stream);
  }

 private:
  Script script_;
  int port_ = 0;
  std::mutex mutex_;
  int streams_ = 0;
  std::unique_ptr<grpc::Server> server_;
};

/// Reads the Hello and answers with generous limits.
inline wire::Hello welcome(ServerStream& stream, std::uint64_t acknowledged = 0,
                           std::uint32_t max_in_flight = 1000, std::uint32_t max_batch = 100) {
  wire::StationMessage hello;
  stream.Read(&hello);
  wire::ServerMessage answer;
  auto& w = *answer.mutable_welcome();
  w.set_acknowledged_sequence(acknowledged);
  w.mutable_limits()->set_max_batch(max_batch);
  w.mutable_limits()->set_max_bearings_per_second(100'000);
  w.mutable_limits()->set_max_in_flight(max_in_flight);
  w.mutable_heartbeat_interval()->set_nanos(50'000'000);
  w.mutable_keepalive_interval()->set_seconds(20);
  w.set_server_version("fake");
  stream.Write(answer);
  return hello.hello();
}

inline void acknowledge(ServerStream& stream, std::uint64_t sequence) {
  wire::ServerMessage message;
  message.mutable_acknowledgement()->set_acknowledged_sequence(sequence);
  stream.Write(message);
}

}  // namespace fixwright::agent
