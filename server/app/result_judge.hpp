#pragma once
/// What changed emitters mean: the register's verdict on each, and the alerts that follow.

#include <vector>

#include "server/alert/alert_engine.hpp"
#include "server/alert/delivery_policy.hpp"
#include "server/app/pipeline/pipeline.hpp"
#include "server/app/register_source.hpp"
#include "server/model/alert.hpp"
#include "server/model/licence.hpp"
#include "server/model/views.hpp"
#include "server/register/decisions.hpp"

namespace fixwright::app {

struct Judgement {
  std::vector<RegisterMatch> matches;  // that changed
  std::vector<Alert> alerts;
};

/// Calls come from one thread.
class ResultJudge {
 public:
  ResultJudge(register_::RegisterDecisions decisions, alert::AlertEngine alerts,
              std::vector<alert::DeliveryRule> destinations = {})
      : decisions_(std::move(decisions)),
        alerts_(std::move(alerts)),
        destinations_(std::move(destinations)) {}

  Judgement judge(const PipelineOutput& output);
  std::vector<Alert> heartbeat(const Heartbeat& heartbeat);
  std::vector<Alert> drift(const CalibrationDrift& drift);
  std::vector<Alert> host(const HostState& state);
  /// What people set for alerts, over the configured rules.
  void apply(AlertSettings settings);
  /// Alerts that come with time alone, like a silent station.
  std::vector<Alert> tick(TimePoint server_now);

  /// Another register: every emitter is judged by it when results are judged next.
  void replace_register(KnownRegister known);

  /// Who is to be told of alerts that are new.
  [[nodiscard]] std::vector<Delivery> deliveries(const std::vector<Alert>& alerts,
                                                 TimePoint server_now) const;

  /// The verdict so far; nothing for an emitter never judged.
  [[nodiscard]] const RegisterMatch* match(EmitterKey key) const;

 private:
  register_::RegisterDecisions decisions_;
  alert::AlertEngine alerts_;
  std::vector<alert::DeliveryRule> destinations_;
};

}  // namespace fixwright::app
