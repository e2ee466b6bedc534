#include "station_agent/check/report_json.hpp"

#include <nlohmann/json.hpp>

#include "server/base/text.hpp"
#include "station_agent/check/cautions.hpp"

namespace fixwright::agent::check {

namespace {

nlohmann::ordered_json as_json(const Finding& f) {
  nlohmann::ordered_json figures = nlohmann::ordered_json::object();
  for (const auto& [name, value] : f.figures) figures[name] = value;
  return {{"area", f.area},
          {"severity", word(f.severity)},
          {"what", one_line(f.what)},
          {"to_do", one_line(f.to_do)},
          {"figures", std::move(figures)}};
}

}  // namespace

std::string json_of(const Report& report) {
  nlohmann::ordered_json findings = nlohmann::ordered_json::array();
  for (const Finding& f : report.findings) findings.push_back(as_json(f));
  const nlohmann::ordered_json whole = {{"format", 1},
                                        {"station", one_line(report.station)},
                                        {"source", report.source},
                                        {"at", format_rfc3339(report.at, 3)},
                                        {"severity", word(report.severity())},
                                        {"exit_code", exit_code(report.severity())},
                                        {"findings", std::move(findings)},
                                        {"cautions", kCautions}};
  return whole.dump(2) + "\n";
}

}  // namespace fixwright::agent::check
