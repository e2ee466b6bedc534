#pragma once
/// The alerts' sentences. Each names what was seen and how sure it is; none names a culprit.

#include <string>

#include "server/alert/rules.hpp"
#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"
#include "server/model/station.hpp"

namespace fixwright::alert {

/// "CHANNEL/ID".
std::string emitter_subject(EmitterKey key);

/// \pre the verdict is neither registered nor undecided; the emitter's fix is accepted.
std::string verdict_message(const Emitter& emitter, const RegisterMatch& match);

/// What is said when the register no longer gives that verdict.
std::string verdict_remark(const RegisterMatch& match);

std::string moved_message(const EmitterEvent& event);
std::string silent_message(const std::string& station, TimePoint last_heartbeat,
                           const AlertRules& rules);
std::string clock_message(const std::string& station, const Heartbeat& heartbeat,
                          const AlertRules& rules);

}  // namespace fixwright::alert
