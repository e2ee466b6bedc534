#pragma once
/// A server on a free loopback port, fakes behind it, and a station's side of a stream.

#include <gmock/gmock.h>
#include <grpcpp/channel.h>
#include <grpcpp/client_context.h>
#include <grpcpp/create_channel.h>

#include <memory>
#include <string>

#include "fixwright/station/v1/station.grpc.pb.h"
#include "server/rpc/server.hpp"
#include "tests/rpc/fake_ports.hpp"

namespace fixwright::rpc {

namespace station_v1 = fixwright::station::v1;

class RpcTest : public testing::Test {
 protected:
  ~RpcTest() override {
    if (server) server->drain_and_stop(std::chrono::seconds{0});
  }

  /// Starts it if it does not run yet.
  std::shared_ptr<grpc::Channel> channel() {
    if (!server) start();
    return grpc::CreateChannel("127.0.0.1:" + std::to_string(port),
                               grpc::InsecureChannelCredentials());
  }

  void start() {
    server = std::make_unique<Server>(rules, stations, queries, decisions, metrics);
    const Result<int> bound = server->start();
    ASSERT_TRUE(bound.ok()) << bound.error();
    port = *bound;
  }

  ServerRules rules = [] {
    ServerRules r;
    r.listen_address = "127.0.0.1:0";
    return r;
  }();
  FakeStations stations;
  FakeQueries queries;
  FakeDecisions decisions;
  Metrics metrics;
  std::unique_ptr<Server> server;
  int port = 0;
};

/// One agent's stream. Calls wait; a deadline keeps a broken server from hanging the test.
class Agent {
 public:
  explicit Agent(const std::shared_ptr<grpc::Channel>& channel)
      : stub_(station_v1::StationService::NewStub(channel)) {
    context_.set_deadline(std::chrono::system_clock::now() + kPatience);
    stream_ = stub_->Stream(&context_);
  }
  ~Agent() { context_.TryCancel(); }
  Agent(const Agent&) = delete;
  Agent& operator=(const Agent&) = delete;

  bool send(const station_v1::StationMessage& message) { return stream_->Write(message); }

  bool hello(const std::string& station = "MOSS-RIDGE", std::uint64_t stream_id = 7) {
    station_v1::StationMessage message;
    message.mutable_hello()->set_station(station);
    message.mutable_hello()->set_agent_version("1.0");
    message.mutable_hello()->set_stream_id(stream_id);
    return send(message);
  }

  /// Bearings with the sequences first to last, sound in every field.
  bool bearings(std::uint64_t first, std::uint64_t last) {
    station_v1::StationMessage message;
    for (std::uint64_t sequence = first; sequence <= last; ++sequence) {
      auto& b = *message.mutable_bearings()->add_bearings();
      b.set_sequence(sequence);
      b.mutable_start_time()->set_seconds(1'900'000'000);
      b.mutable_clock_error()->set_nanos(1'000'000);
      b.set_frequency_hz(156.8e6);
      b.set_azimuth_deg(42.5);
      b.set_azimuth_sigma_deg(1.5);
    }
    return send(message);
  }

  /// The next message; an empty one when the stream has ended.
  station_v1::ServerMessage receive() {
    station_v1::ServerMessage message;
    stream_->Read(&message);
    return message;
  }

  /// Hello, and the Welcome that must answer it.
  station_v1::Welcome join() {
    hello();
    const station_v1::ServerMessage message = receive();
    EXPECT_TRUE(message.has_welcome()) << message.ShortDebugString();
    return message.welcome();
  }

  void half_close() { stream_->WritesDone(); }
  void cancel() { context_.TryCancel(); }

  /// How the stream ended; reads what still comes before.
  grpc::Status end() {
    station_v1::ServerMessage rest;
    while (stream_->Read(&rest)) {
    }
    return stream_->Finish();
  }

 private:
  std::unique_ptr<station_v1::StationService::Stub> stub_;
  grpc::ClientContext context_;
  std::unique_ptr<grpc::ClientReaderWriter<station_v1::StationMessage, station_v1::ServerMessage>>
      stream_;
};

inline constexpr auto kInvalid = grpc::StatusCode::INVALID_ARGUMENT;

}  // namespace fixwright::rpc
