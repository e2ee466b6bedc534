#include "station_agent/check/report_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "server/base/text.hpp"
#include "station_agent/check/cautions.hpp"

namespace fixwright::agent::check {

namespace {

constexpr std::size_t kColumns = 80;
constexpr std::size_t kIndent = 22;  // of the text beside severity and area

std::string shown(Severity severity) {
  return severity == Severity::not_applicable ? "n/a" : std::string(word(severity));
}

/// The bytes of `text` that fill `columns`; continuation bytes of UTF-8 take none.
std::size_t bytes_of_columns(std::string_view text, std::size_t columns) {
  std::size_t at = 0;
  for (; at < text.size(); ++at) {
    const bool begins = (static_cast<unsigned char>(text[at]) & 0xC0U) != 0x80U;
    if (begins && columns-- == 0) break;
  }
  return at;
}

/// Appends `text` after a head, wrapped at blanks, further lines indented.
void wrap(std::string head, std::string_view text, std::size_t indent, std::string& out) {
  out += head;
  while (true) {
    const std::size_t room = bytes_of_columns(text, kColumns - indent);
    if (room == text.size()) break;
    const std::size_t blank = text.rfind(' ', room);
    const bool can_break = blank != std::string_view::npos && blank > 0;
    const std::size_t cut = can_break ? blank : room;
    out.append(text.substr(0, cut)).append("\n").append(indent, ' ');
    text.remove_prefix(can_break ? cut + 1 : cut);
  }
  out.append(text).append("\n");
}

void write(const Finding& f, std::string& out) {
  wrap(fmt::format(" {:<8} {:<11} ", shown(f.severity), f.area), one_line(f.what), kIndent, out);
  if (!f.to_do.empty()) {
    wrap(fmt::format("{:{}}-> ", "", kIndent), one_line(f.to_do), kIndent + 3, out);
  }
}

/// What does not apply for one reason is told once, with all its areas.
void write_all(const std::vector<Finding>& findings, std::string& out) {
  std::string areas;  // that share what the finding says
  for (std::size_t i = 0; i < findings.size(); ++i) {
    const Finding& f = findings[i];
    const bool same_next = i + 1 < findings.size() && findings[i + 1].what == f.what &&
                           f.severity == Severity::not_applicable;
    areas += (areas.empty() ? "" : ", ") + f.area;
    if (same_next) continue;
    if (areas == f.area) {
      write(f, out);
    } else {
      write({"", f.severity, areas + ": " + f.what, f.to_do}, out);
    }
    areas.clear();
  }
}

std::string verdict(const Report& report) {
  const auto count = [&](Severity s) {
    return std::count_if(report.findings.begin(), report.findings.end(),
                         [s](const Finding& f) { return f.severity == s; });
  };
  return fmt::format("{}: {} fault(s), {} warning(s), {} advice. Exit code {}.\n",
                     word(report.severity()), count(Severity::fault), count(Severity::warning),
                     count(Severity::advice), exit_code(report.severity()));
}

}  // namespace

std::string text_of(const Report& report) {
  std::string out = fmt::format("Station {}, source {}, {}\n", report.station, report.source,
                                format_rfc3339(report.at, 0));
  write_all(report.findings, out);
  out += "Mind:\n";
  for (const std::string_view caution : kCautions) wrap("  ", caution, 2, out);
  return out + verdict(report);
}

}  // namespace fixwright::agent::check
