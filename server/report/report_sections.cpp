#include "server/report/report_sections.hpp"

#include <fmt/core.h>

#include <nlohmann/json.hpp>

#include "server/base/text.hpp"
#include "server/report/html.hpp"
#include "server/report/report_map.hpp"
#include "server/report/report_words.hpp"
#include "server/report/station_summary.hpp"

namespace fixwright::report {

using nlohmann::json;
using pugi::xml_node;

const std::string_view kReportStyle =
    "body{font:11pt/1.45 serif;max-width:46em;margin:1.5em auto;padding:0 1em;color:#111;"
    "background:#fff}h1,h2,caption,th{font-family:sans-serif}h1{font-size:1.5em}"
    "h2{font-size:1.1em;margin:1.6em 0 .3em;break-after:avoid}"
    "table{border-collapse:collapse;width:100%;font-size:.85em;margin:.6em 0}"
    "caption{text-align:left;font-weight:bold;padding:.2em 0}"
    "th,td{text-align:left;vertical-align:top;padding:.15em .5em .15em 0;border-bottom:1px solid "
    "#bbb}tr{break-inside:avoid}thead{display:table-header-group}"
    ".caution{border:2px solid #111;padding:.3em .8em;margin:1em 0}"
    "svg{width:100%;max-width:17cm;border:1px solid #555;font:13px sans-serif;break-inside:avoid}"
    "svg .grid{stroke:#ccc;fill:#777;stroke-width:.7}svg text.grid{stroke:none;font-size:11px}"
    "svg .region{fill:#777;fill-opacity:.18;stroke:#111;stroke-width:2}"
    "svg .bearing{stroke:#444;stroke-dasharray:2 4}svg .scale{stroke:#111;stroke-width:3}"
    "code{font-size:.9em;overflow-wrap:anywhere}@page{margin:18mm}"
    "@media print{body{margin:0;max-width:none}}";

void add_paragraphs(xml_node parent, const std::vector<std::string>& paragraphs) {
  for (const auto& text : paragraphs) add_element(parent, "p", text);
}

namespace {

void add_timeline(xml_node body, const EmitterEvidence& e) {
  add_element(body, "h2", "Timeline");
  if (e.events.empty()) {
    add_element(body, "p", "Nothing happened to it, and nobody decided anything about it.");
    return;
  }
  std::vector<std::vector<std::string>> rows;
  for (const EvidenceEvent& event : e.events) {
    rows.push_back({time_text(event.at), event.kind, one_line(event.text, 500),
                    event.by.empty() ? "the server" : one_line(event.by)});
  }
  add_table(body, "What happened to it, and what was decided about it (UTC)",
            {"time", "what", "evidence or note", "by"}, rows);
}

void add_stations(xml_node body, const EmitterEvidence& e) {
  std::vector<std::vector<std::string>> rows;
  for (const StationSummary& s : summarise(e.bearings)) {
    const bool heard = s.used > 0;
    rows.push_back({s.name, std::to_string(s.used), std::to_string(s.set_aside),
                    heard ? fmt::format("{:.1f}", s.mean_azimuth_deg) : "-",
                    heard ? fmt::format("{:+.2f}", s.mean_residual_deg) : "-",
                    heard ? fmt::format("{:.2f}", s.rms_residual_deg) : "-"});
  }
  add_table(body, "What each station says",
            {"station", "bearings used", "set aside", "mean azimuth, °", "mean residual, °",
             "r.m.s. residual, °"},
            rows);
}

void add_bearings(xml_node body, const EmitterEvidence& e) {
  std::vector<std::vector<std::string>> rows;
  for (const EvidenceBearing& b : e.bearings) {
    rows.push_back({time_text(b.reference.start), b.station, fmt::format("{:.1f}", b.azimuth_deg),
                    fmt::format("{:.1f}", b.sigma_deg), fmt::format("{:+.1f}", b.residual_deg),
                    b.used ? "used" : "set aside", b.reference.digest.substr(0, 12)});
  }
  add_table(body, "Every bearing of " + name_of(e) + " (UTC; azimuths as sent, from true north)",
            {"time", "station", "azimuth, °", "sigma, °", "residual, °", "", "digest begins"},
            rows);
}

void add_register(xml_node body, const EmitterEvidence& e) {
  add_element(body, "h2", "The register");
  add_paragraphs(body, register_words(e));
  if (e.licences.empty()) return;
  std::vector<std::vector<std::string>> rows;
  for (const EvidenceLicence& l : e.licences) {
    rows.push_back({l.id, one_line(l.holder), one_line(l.service), megahertz(l.frequency_hz),
                    kilometres(l.distance_m)});
  }
  add_table(body, "Entries that may be on its frequency, the nearest first",
            {"entry", "holder", "service", "frequency", "from the most likely place"}, rows);
}

void add_references(xml_node body, std::span<const EmitterEvidence> emitters) {
  json list = json::array();
  for (const EmitterEvidence& e : emitters) {
    for (const EvidenceBearing& b : e.bearings) {
      const auto start = std::chrono::floor<std::chrono::microseconds>(b.reference.start);
      list.push_back({b.reference.channel, start.time_since_epoch().count(), b.reference.stream,
                      b.reference.sequence, b.reference.digest});
    }
  }
  // Numbers and hexadecimal digits only: nothing in it can end the element.
  with(with(add_element(body, "script", list.dump()), "type", "application/json"), "id",
       kReferences);
}

}  // namespace

void add_emitter_sections(xml_node body, const EmitterEvidence& e) {
  add_element(body, "h2", "In plain words");
  add_paragraphs(body, summary_words(e));
  if (!e.region.empty()) {
    add_element(body, "h2", "Where");
    add_network_map(body, e);
    add_region_map(body, e);
    add_element(body, "p", map_words(e));
  }
  add_element(body, "h2", "How it was found, and how well");
  add_paragraphs(body, method_words(e));
  add_timeline(body, e);
  add_element(body, "h2", "Bearings");
  add_stations(body, e);
  add_register(body, e);
  add_element(body, "h2", "Limits");
  add_paragraphs(body, limit_words(e));
}

void add_appendix(xml_node body, std::span<const EmitterEvidence> emitters) {
  add_element(body, "h2", "Appendix: the bearings, and how to check them");
  add_paragraphs(body, check_words(emitters));
  for (const EmitterEvidence& e : emitters) add_bearings(body, e);
  add_references(body, emitters);
}

}  // namespace fixwright::report
