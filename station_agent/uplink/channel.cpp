#include "station_agent/uplink/channel.hpp"

#include <grpcpp/create_channel.h>
#include <grpcpp/security/credentials.h>
#include <grpcpp/support/channel_arguments.h>

namespace fixwright::agent {

std::shared_ptr<grpc::Channel> make_channel(const std::string& server, Duration keepalive) {
  const auto ms = std::chrono::duration_cast<std::chrono::milliseconds>(keepalive).count();
  grpc::ChannelArguments arguments;
  arguments.SetInt(GRPC_ARG_USE_LOCAL_SUBCHANNEL_POOL, 1);
  arguments.SetInt(GRPC_ARG_KEEPALIVE_TIME_MS, static_cast<int>(ms));
  // How long a cut link stays unnoticed at most: interval and answer.
  arguments.SetInt(GRPC_ARG_KEEPALIVE_TIMEOUT_MS, static_cast<int>(ms));
  arguments.SetInt(GRPC_ARG_HTTP2_MAX_PINGS_WITHOUT_DATA, 0);
  return grpc::CreateCustomChannel(server, grpc::InsecureChannelCredentials(), arguments);
}

}  // namespace fixwright::agent
