#pragma once
/// What people decide by gRPC; `app` implements it over the store.

#include <string>

#include "server/base/result.hpp"
#include "server/model/decision.hpp"

namespace fixwright::rpc {

/// Called from several threads at once. A call throws std::exception when the database is away.
class DecisionPort {
 public:
  DecisionPort() = default;
  DecisionPort(const DecisionPort&) = delete;
  DecisionPort& operator=(const DecisionPort&) = delete;
  virtual ~DecisionPort() = default;

  /// The decision as it is kept, or one line that says why it can't be.
  virtual Result<EmitterDecision> decide(const EmitterDecision& wish) = 0;
  /// \return false when no such alert is open.
  virtual bool acknowledge_alert(const std::string& id, const std::string& by) = 0;
};

}  // namespace fixwright::rpc
