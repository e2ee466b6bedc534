#pragma once
/// A report on a case: the question, what was noted, and what is known of each emitter of it; as
/// emitter_report() otherwise.

#include <span>
#include <string>

#include "server/model/case.hpp"
#include "server/model/evidence.hpp"

namespace fixwright::report {

/// \param emitters  those of the case that there are.
std::string case_report(const Case& investigated, std::span<const EmitterEvidence> emitters,
                        const std::string& by, TimePoint written_at);

}  // namespace fixwright::report
