#pragma once

#include "fixwright/decision/v1/decision.grpc.pb.h"
#include "server/rpc/decision_port.hpp"
#include "server/rpc/workers.hpp"

namespace fixwright::rpc {

namespace decision_v1 = fixwright::decision::v1;

/// fixwright.decision.v1.DecisionService over the port. Every call of the port runs on a worker.
class DecisionService final : public decision_v1::DecisionService::CallbackService {
 public:
  /// Both outlive it.
  DecisionService(DecisionPort& port, Workers& workers) : port_(port), workers_(workers) {}

  grpc::ServerUnaryReactor* Decide(grpc::CallbackServerContext* context,
                                   const decision_v1::DecideRequest* request,
                                   decision_v1::DecideResponse* response) override;
  grpc::ServerUnaryReactor* AcknowledgeAlert(
      grpc::CallbackServerContext* context, const decision_v1::AcknowledgeAlertRequest* request,
      decision_v1::AcknowledgeAlertResponse* response) override;

 private:
  DecisionPort& port_;
  Workers& workers_;
};

/// Nothing for unspecified, and for a number that this version does not know.
std::optional<DecisionKind> from_proto(decision_v1::DecisionKind kind);

}  // namespace fixwright::rpc
