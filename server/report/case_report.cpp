#include "server/report/case_report.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"
#include "server/report/html.hpp"
#include "server/report/report_sections.hpp"
#include "server/report/report_words.hpp"

namespace fixwright::report {

namespace {

using pugi::xml_node;

std::string about(const CaseFile& c) {
  std::string text =
      fmt::format("It is about {} to {} UTC", time_text(c.since), time_text(c.until));
  if (c.frequency_hz) text += " on " + megahertz(*c.frequency_hz);
  if (c.place) {
    text += fmt::format(", noticed at {:.5f}, {:.5f} (WGS84), and emitters within {}",
                        c.place->latitude_deg, c.place->longitude_deg, kilometres(c.radius_m));
  }
  return text + ".";
}

void add_question(xml_node body, const CaseFile& c) {
  add_element(body, "h2", "The question");
  add_element(body, "p", one_line(c.question, 2000));
  if (!c.complaint.empty())
    add_element(body, "p", "As it was told: " + one_line(c.complaint, 2000));
  add_element(body, "p", about(c));
}

void add_course(xml_node body, const Case& c) {
  std::vector<std::vector<std::string>> rows{
      {time_text(c.file.opened_at), one_line(c.file.opened_by), "opened"}};
  for (const CaseNote& n : c.notes) {
    rows.push_back({time_text(n.at), one_line(n.by), one_line(n.note, 2000)});
  }
  if (c.file.closed_at) {
    rows.push_back({time_text(*c.file.closed_at), one_line(c.file.closed_by),
                    "closed: " + one_line(c.file.outcome, 2000)});
  }
  add_element(body, "h2", "The course of it");
  add_table(body, "What was noted (UTC)", {"time", "by", "note"}, rows);
}

void add_emitters(xml_node body, const Case& c, std::span<const EmitterEvidence> emitters) {
  add_element(body, "h2", "Emitters that may matter");
  if (emitters.empty()) {
    add_element(body, "p", "None was heard that may matter.");
    return;
  }
  std::vector<std::vector<std::string>> rows;
  for (const EmitterEvidence& e : emitters) {
    std::string why;
    for (const CaseEmitter& in : c.emitters) {
      if (in.emitter == e.key) why = in.why;
    }
    rows.push_back({name_of(e), megahertz(e.frequency_hz),
                    e.region.empty() ? "no place" : kilometres(e.semi_major_m),
                    fmt::format("{}", e.bearings.size() + e.bearings_left_out),
                    one_line(why, 2000)});
  }
  add_table(body, "Each has a part of its own below",
            {"emitter", "frequency", "semi-major axis", "bearings in this stretch", "why"}, rows);
}

}  // namespace

std::string case_report(const Case& investigated, std::span<const EmitterEvidence> emitters,
                        const std::string& by, TimePoint written_at) {
  pugi::xml_document document;
  const std::string title = fmt::format("Report on case {}", investigated.file.id);
  xml_node body = add_page(document, title, kReportStyle);
  add_element(body, "h1", title);
  add_element(body, "p", fmt::format("Written {} UTC by {}.", time_text(written_at), one_line(by)));
  with(add_element(body, "p", caution_words()), "class", "caution");
  add_question(body, investigated.file);
  add_emitters(body, investigated, emitters);
  add_course(body, investigated);
  for (const EmitterEvidence& e : emitters) {
    add_element(body, "h1", "About " + name_of(e));
    add_emitter_sections(body, e);
  }
  add_appendix(body, emitters);
  return html_text(document);
}

}  // namespace fixwright::report
