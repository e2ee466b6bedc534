#include "server/app/result_judge.hpp"

#include <iterator>
#include <utility>

namespace fixwright::app {

namespace {

void append(std::vector<Alert>& to, std::vector<Alert> from) {
  to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

}  // namespace

Judgement ResultJudge::judge(const PipelineOutput& output) {
  Judgement judgement;
  for (const Emitter& emitter : output.emitters) {
    if (auto match = decisions_.on_emitter(emitter)) judgement.matches.push_back(*match);
    append(judgement.alerts, alerts_.on_emitter(emitter, decisions_.find(emitter.key)));
  }
  for (const EmitterEvent& event : output.events) {
    append(judgement.alerts, alerts_.on_event(event));
  }
  return judgement;
}

std::vector<Alert> ResultJudge::heartbeat(const Heartbeat& heartbeat) {
  return alerts_.on_heartbeat(heartbeat);
}

std::vector<Alert> ResultJudge::tick(TimePoint server_now) { return alerts_.on_tick(server_now); }

void ResultJudge::replace_register(KnownRegister known) {
  decisions_.replace(std::move(known.licences), std::move(known.opinions));
}

const RegisterMatch* ResultJudge::match(EmitterKey key) const { return decisions_.find(key); }

}  // namespace fixwright::app
