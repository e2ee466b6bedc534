#pragma once

#include "fixwright/station/v1/station.grpc.pb.h"
#include "server/rpc/station_session.hpp"

namespace fixwright::rpc {

/// fixwright.station.v1.StationService over the port: one StationSession a stream.
class StationService final : public station_v1::StationService::WithRawCallbackMethod_Stream<
                                 station_v1::StationService::Service> {
 public:
  explicit StationService(SessionParts parts) : parts_(parts) {}

  grpc::ServerBidiReactor<grpc::ByteBuffer, grpc::ByteBuffer>* Stream(
      grpc::CallbackServerContext* context) override {
    const auto session = std::make_shared<StationSession>(parts_, context->peer());
    StationSession* reactor = session.get();
    parts_.streams.add(session);
    reactor->start();
    return reactor;
  }

 private:
  const SessionParts parts_;
};

}  // namespace fixwright::rpc
