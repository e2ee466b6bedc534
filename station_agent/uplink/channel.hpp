#pragma once
/// The transport to the server.

#include <grpcpp/channel.h>

#include <memory>
#include <string>

#include "server/base/time.hpp"

namespace fixwright::agent {

/// A new transport, with no backoff of its own left from an earlier one: the waiting between
/// attempts is the uplink's.
std::shared_ptr<grpc::Channel> make_channel(const std::string& server, Duration keepalive);

}  // namespace fixwright::agent
