#include "server/rpc/status.hpp"

#include <array>

namespace fixwright::rpc {

namespace {

grpc::StatusCode code_of(OpenRefusal reason) {
  switch (reason) {
    case OpenRefusal::unknown_station:
      return grpc::StatusCode::NOT_FOUND;
    case OpenRefusal::already_connected:
      return grpc::StatusCode::ALREADY_EXISTS;
    case OpenRefusal::disagrees:
      return grpc::StatusCode::FAILED_PRECONDITION;
    case OpenRefusal::unavailable:
      return grpc::StatusCode::UNAVAILABLE;
  }
  return grpc::StatusCode::INTERNAL;
}

}  // namespace

grpc::Status to_status(const OpenDenied& denied) {
  return {code_of(denied.reason), denied.message};
}

grpc::Status to_status(const BatchDenied& denied) {
  const auto code =
      denied.over_limit ? grpc::StatusCode::RESOURCE_EXHAUSTED : grpc::StatusCode::UNAVAILABLE;
  return {code, denied.message};
}

std::string_view code_name(grpc::StatusCode code) {
  static constexpr std::array<std::string_view, 17> kNames{"OK",
                                                           "CANCELLED",
                                                           "UNKNOWN",
                                                           "INVALID_ARGUMENT",
                                                           "DEADLINE_EXCEEDED",
                                                           "NOT_FOUND",
                                                           "ALREADY_EXISTS",
                                                           "PERMISSION_DENIED",
                                                           "RESOURCE_EXHAUSTED",
                                                           "FAILED_PRECONDITION",
                                                           "ABORTED",
                                                           "OUT_OF_RANGE",
                                                           "UNIMPLEMENTED",
                                                           "INTERNAL",
                                                           "UNAVAILABLE",
                                                           "DATA_LOSS",
                                                           "UNAUTHENTICATED"};
  const auto index = static_cast<std::size_t>(code);
  return index < kNames.size() ? kNames.at(index) : "UNKNOWN";
}

}  // namespace fixwright::rpc
