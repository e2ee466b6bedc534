#include "station_agent/uplink/probe.hpp"

#include <grpcpp/client_context.h>

#include <algorithm>

#include "fixwright/station/v1/station.grpc.pb.h"
#include "server/base/text.hpp"
#include "station_agent/uplink/channel.hpp"
#include "station_agent/uplink/wire.hpp"

namespace fixwright::agent {

namespace {

/// A stream of which nothing is ever sent; the server keeps nothing about those.
constexpr std::uint64_t kProbeStream = 1;

wire::StationMessage hello_of(const UplinkConfig& config) {
  wire::StationMessage message;
  wire::Hello& hello = *message.mutable_hello();
  hello.set_station(config.station);
  hello.set_agent_version(config.agent_version + ", check");
  hello.set_stream_id(kProbeStream);
  if (config.position) {
    hello.mutable_position()->set_latitude_deg(config.position->latitude_deg);
    hello.mutable_position()->set_longitude_deg(config.position->longitude_deg);
  }
  return message;
}

void take_welcome(const wire::Welcome& welcome, ServerProbe& probe) {
  probe.outcome = ProbeOutcome::welcomed;
  probe.server_version = one_line(welcome.server_version(), 40);
  for (const wire::Channel& c : welcome.channel_plan().channels()) {
    if (c.frequency_hz() > 0.0 && c.bandwidth_hz() > 0.0) {
      probe.plan.push_back({c.frequency_hz(), c.bandwidth_hz()});
    }
  }
}

ProbeOutcome outcome_of(grpc::StatusCode code) {
  switch (code) {
    case grpc::StatusCode::DEADLINE_EXCEEDED:
      return ProbeOutcome::silent;
    case grpc::StatusCode::NOT_FOUND:
      return ProbeOutcome::unknown_station;
    case grpc::StatusCode::ALREADY_EXISTS:
      return ProbeOutcome::already_connected;
    case grpc::StatusCode::FAILED_PRECONDITION:
      return ProbeOutcome::disagrees;
    case grpc::StatusCode::UNAUTHENTICATED:
    case grpc::StatusCode::PERMISSION_DENIED:
      return ProbeOutcome::no_credentials;
    case grpc::StatusCode::INVALID_ARGUMENT:
    case grpc::StatusCode::UNIMPLEMENTED:
    case grpc::StatusCode::OK:  // it ended the stream without a word
      return ProbeOutcome::no_fixwright;
    default:
      return ProbeOutcome::away;
  }
}

}  // namespace

ServerProbe probe_server(const UplinkConfig& config, Duration patience) {
  ServerProbe probe;
  const auto began = std::chrono::steady_clock::now();
  const auto stub =
      wire::StationService::NewStub(make_channel(config.server, std::chrono::seconds{20}));
  grpc::ClientContext context;
  context.set_deadline(std::chrono::system_clock::now() +
                       std::chrono::duration_cast<std::chrono::milliseconds>(patience));
  const auto stream = stub->Stream(&context);
  stream->Write(hello_of(config));
  wire::ServerMessage answer;
  while (probe.outcome != ProbeOutcome::welcomed && stream->Read(&answer)) {
    if (answer.has_welcome()) take_welcome(answer.welcome(), probe);
  }
  probe.took = std::chrono::steady_clock::now() - began;
  stream->WritesDone();
  while (stream->Read(&answer)) continue;  // until it has closed its side
  const grpc::Status status = stream->Finish();
  if (probe.outcome == ProbeOutcome::welcomed) return probe;
  probe.outcome = outcome_of(status.error_code());
  probe.message = one_line(status.error_message(), 200);
  return probe;
}

}  // namespace fixwright::agent
