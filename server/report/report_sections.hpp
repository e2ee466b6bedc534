#pragma once
/// What a report says of one emitter.

#include <pugixml.hpp>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "server/model/evidence.hpp"

namespace fixwright::report {

/// Of a report's page.
extern const std::string_view kReportStyle;

void add_paragraphs(pugi::xml_node parent, const std::vector<std::string>& paragraphs);

/// In plain words, where, how and how well, what happened, what each station and the register say,
/// limits.
void add_emitter_sections(pugi::xml_node body, const EmitterEvidence& evidence);

/// How a report can be checked, and every bearing of these emitters, for the eye and for --verify.
void add_appendix(pugi::xml_node body, std::span<const EmitterEvidence> emitters);

/// The element that --verify reads.
constexpr std::string_view kReferences = "bearings-of-this-report";

}  // namespace fixwright::report
