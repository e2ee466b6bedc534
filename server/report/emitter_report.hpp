#pragma once
/// A report on one emitter as one HTML file that needs nothing else: read on any screen, printed on
/// A4 or Letter, checked against the database by the digests it carries.

#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/evidence.hpp"

namespace fixwright::report {

struct ReportHeading {
  std::string question;  // what somebody wants to know; may be empty
  std::string by;        // who writes it
  TimePoint written_at;
};

/// UTF-8, with its doctype. Text from elsewhere can't become markup.
std::string emitter_report(const EmitterEvidence& evidence, const ReportHeading& heading);

/// The bearings that a report rests on, as it quotes them. Error: a few words on why the text is no
/// report of ours.
Result<std::vector<BearingReference>> references_in(std::string_view html);

}  // namespace fixwright::report
