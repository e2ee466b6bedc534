#pragma once
/// Writes what people decide by gRPC where the command writes it too; DecisionWatch notices.

#include "server/base/clock.hpp"
#include "server/rpc/decision_port.hpp"
#include "server/store/database.hpp"

namespace fixwright::app {

class Decider final : public rpc::DecisionPort {
 public:
  Decider(store::Database& database, const Clock& clock) : database_(database), clock_(clock) {}

  Result<EmitterDecision> decide(const EmitterDecision& wish) override;
  bool acknowledge_alert(const std::string& id, const std::string& by) override;

 private:
  store::Database& database_;
  const Clock& clock_;
};

}  // namespace fixwright::app
