#include "server/report/emitter_report.hpp"

#include <fmt/core.h>

#include <nlohmann/json.hpp>

#include "server/base/text.hpp"
#include "server/report/html.hpp"
#include "server/report/report_sections.hpp"
#include "server/report/report_words.hpp"

namespace fixwright::report {

using nlohmann::json;

std::string emitter_report(const EmitterEvidence& e, const ReportHeading& heading) {
  pugi::xml_document document;
  const std::string title = "Report on " + name_of(e);
  pugi::xml_node body = add_page(document, title, kReportStyle);
  add_element(body, "h1", title);
  add_element(body, "p",
              fmt::format("Written {} UTC by {}, of what was heard from {} to {} UTC.",
                          time_text(heading.written_at), one_line(heading.by), time_text(e.from),
                          time_text(e.until)));
  with(add_element(body, "p", caution_words()), "class", "caution");
  if (!heading.question.empty()) {
    add_element(body, "h2", "The question");
    add_element(body, "p", one_line(heading.question, 2000));
  }
  add_emitter_sections(body, e);
  add_appendix(body, {&e, 1});
  return html_text(document);
}

Result<std::vector<BearingReference>> references_in(std::string_view html) {
  const std::string opening = fmt::format("id=\"{}\">", kReferences);
  const auto begin = html.find(opening);
  if (begin == std::string_view::npos) return Error{"it is no report of fixwright"};
  html.remove_prefix(begin + opening.size());
  const auto list = json::parse(html.substr(0, html.find("</script>")), nullptr, false);
  if (!list.is_array()) return Error{"its list of bearings is damaged"};
  std::vector<BearingReference> references;
  try {
    for (const auto& item : list) {
      references.push_back({item.at(0).get<ChannelId>(),
                            TimePoint{std::chrono::microseconds{item.at(1).get<std::int64_t>()}},
                            item.at(2).get<std::int64_t>(), item.at(3).get<std::uint64_t>(),
                            item.at(4).get<std::string>()});
    }
  } catch (const json::exception&) {
    return Error{"its list of bearings is damaged"};
  }
  return references;
}

}  // namespace fixwright::report
