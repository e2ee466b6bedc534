#include "server/app/result_judge.hpp"

#include <algorithm>
#include <utility>

namespace fixwright::app {

namespace {

using alert::append;

const Emitter* find(const std::vector<Emitter>& emitters, EmitterKey key) {
  const auto found = std::find_if(emitters.rbegin(), emitters.rend(),
                                  [&](const Emitter& e) { return e.key == key; });
  return found == emitters.rend() ? nullptr : &*found;
}

}  // namespace

Judgement ResultJudge::judge(const PipelineOutput& output) {
  Judgement judgement;
  for (const auto& [emitter, match] : decisions_.decide_again()) {
    judgement.matches.push_back(match);
    // Of one that is silent nobody is told what the register has come to say.
    if (emitter.state != EmitterState::confirmed) continue;
    append(judgement.alerts, alerts_.on_emitter(emitter, &match));
  }
  for (const Emitter& emitter : output.emitters) {
    if (auto match = decisions_.on_emitter(emitter)) judgement.matches.push_back(*match);
    append(judgement.alerts, alerts_.on_emitter(emitter, decisions_.find(emitter.key)));
  }
  for (const EmitterEvent& event : output.events) {
    append(judgement.alerts, alerts_.on_event(event, find(output.emitters, event.emitter)));
  }
  return judgement;
}

std::vector<Alert> ResultJudge::heartbeat(const Heartbeat& heartbeat) {
  return alerts_.on_heartbeat(heartbeat);
}

std::vector<Alert> ResultJudge::drift(const CalibrationDrift& drift) {
  return alerts_.on_drift(drift);
}

std::vector<Alert> ResultJudge::host(const HostState& state) { return alerts_.on_host(state); }

void ResultJudge::apply(AlertSettings settings) { alerts_.apply(std::move(settings)); }

std::vector<Delivery> ResultJudge::deliveries(const std::vector<Alert>& alerts,
                                              TimePoint server_now) const {
  std::vector<Delivery> all;
  for (const Alert& a : alerts) {
    const auto planned = alert::plan(a, destinations_, server_now);
    all.insert(all.end(), planned.begin(), planned.end());
  }
  return all;
}

std::vector<Alert> ResultJudge::tick(TimePoint server_now) { return alerts_.on_tick(server_now); }

void ResultJudge::replace_register(KnownRegister known) {
  decisions_.replace(std::move(known.licences), std::move(known.opinions));
}

const RegisterMatch* ResultJudge::match(EmitterKey key) const { return decisions_.find(key); }

}  // namespace fixwright::app
