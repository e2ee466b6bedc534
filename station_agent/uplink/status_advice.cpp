#include "station_agent/uplink/status_advice.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"

namespace fixwright::agent {

namespace {

/// What to do about the ends that no waiting mends; empty for the others.
std::string remedy(grpc::StatusCode code, const std::string& station) {
  switch (code) {
    case grpc::StatusCode::NOT_FOUND:
      return fmt::format("register station {} at the server, or mend station.name here", station);
    case grpc::StatusCode::ALREADY_EXISTS:
      return fmt::format("stop the other agent of station {}, or mend station.name here", station);
    case grpc::StatusCode::FAILED_PRECONDITION:
      return "make this agent's configuration and the server's agree";
    case grpc::StatusCode::INVALID_ARGUMENT:
      return "bring this agent and the server to versions that fit";
    case grpc::StatusCode::UNAUTHENTICATED:
    case grpc::StatusCode::PERMISSION_DENIED:
      return "give this agent a certificate that the server accepts";
    case grpc::StatusCode::UNIMPLEMENTED:
      return "server.address leads to something else than a Fixwright server";
    default:
      return "";
  }
}

}  // namespace

Advice advice_on(const grpc::Status& status, const std::string& server,
                 const std::string& station) {
  const std::string what =
      status.ok() ? "the server ended the stream" : one_line(status.error_message(), 300);
  const std::string todo = remedy(status.error_code(), station);
  if (todo.empty()) return {false, fmt::format("server {}: {}", server, what)};
  return {true, fmt::format("server {} refuses station {}: {}: {}", server, station, what, todo)};
}

}  // namespace fixwright::agent
