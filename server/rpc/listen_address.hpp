#pragma once

#include <optional>
#include <string>

namespace fixwright::rpc {

/// Why a server cannot listen at "host:port", found by trying: one line with the value, the
/// system's word for it and what to do. Nothing when it can. gRPC itself only says that it
/// could not, and would share the port with another server unless told not to.
std::optional<std::string> listen_problem(const std::string& address);

}  // namespace fixwright::rpc
