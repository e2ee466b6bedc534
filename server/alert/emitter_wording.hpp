#pragma once
/// The sentences of alerts about emitters. Each names what was seen and how sure it is; none names
/// a culprit.

#include <string>

#include "server/alert/rules.hpp"
#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"

namespace fixwright::alert {

/// \pre the verdict is neither registered nor undecided; the emitter's fix is accepted.
std::string verdict_message(const Emitter& emitter, const RegisterMatch& match);

/// What is said when the register no longer gives that verdict.
std::string verdict_remark(const RegisterMatch& match);

/// One sentence: what would change the verdict.
std::string verdict_would_change(const Emitter& emitter, const RegisterMatch& match);

std::string moved_message(const EmitterEvent& event);
/// \param emitter  as it is now; nullptr: not known.
std::string returned_message(const EmitterEvent& event, const Emitter* emitter);
std::string activity_message(const Emitter& emitter, const WatchedArea& area);
std::string missing_message(const Reference& reference, TimePoint last_heard);

}  // namespace fixwright::alert
