#pragma once
/// What the ports say, as the gRPC statuses that station.proto promises.

#include <grpcpp/support/status.h>

#include <string_view>

#include "server/rpc/station_port.hpp"

namespace fixwright::rpc {

grpc::Status to_status(const OpenDenied& denied);
grpc::Status to_status(const BatchDenied& denied);

/// The code's name as in the gRPC documentation, for log lines: ALREADY_EXISTS.
std::string_view code_name(grpc::StatusCode code);

}  // namespace fixwright::rpc
