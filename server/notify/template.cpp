#include "server/notify/template.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"

namespace fixwright::notify {

namespace {

std::string emitter_name(const Alert& a) {
  return a.emitter ? fmt::format("{}/{}", a.emitter->channel, a.emitter->id) : std::string();
}

std::string names_of(const std::vector<StationId>& ids, const Surroundings& around) {
  std::string text;
  for (const StationId id : ids) text += (text.empty() ? "" : ", ") + around.station_name(id);
  return text;
}

std::string position_text(const AlertEvidence& e) {
  if (!e.position) return {};
  return fmt::format("{:.5f} {:.5f}", e.position->latitude_deg, e.position->longitude_deg);
}

std::string ellipse_text(const AlertEvidence& e) {
  if (!e.region) return {};
  return fmt::format("{:.0f} x {:.0f} m, major axis at {:.0f} deg, holds it with {:g} %",
                     e.region->semi_major_m, e.region->semi_minor_m, e.region->orientation_deg,
                     100.0 * e.region->probability);
}

}  // namespace

std::string link_to(const Alert& alert, const std::string& page) {
  if (page.empty() || !alert.emitter) return page;
  return page + "?emitter=" + emitter_name(alert);
}

Fields fields_of(const Alert& a, const Surroundings& around) {
  const AlertEvidence& e = a.evidence;
  return {{"id", a.id},
          {"severity", std::string(to_string(a.severity))},
          {"rule", a.rule},
          {"message", one_line(a.message)},
          {"raised_at", format_rfc3339(a.raised_at, 0)},
          {"ended_at", a.ended_at ? format_rfc3339(*a.ended_at, 0) : ""},
          {"emitter", emitter_name(a)},
          {"station", a.station ? around.station_name(*a.station) : ""},
          {"stations", names_of(e.stations, around)},
          {"position", position_text(e)},
          {"ellipse", ellipse_text(e)},
          {"posterior", e.posterior ? fmt::format("{:.3f}", *e.posterior) : ""},
          {"would_change", e.would_change},
          {"link", link_to(a, around.page)},
          {"caution", e.position ? kCaution : ""}};
}

Result<Template> Template::parse(std::string_view text) {
  const Fields known = fields_of({}, {[](StationId) { return std::string(); }, ""});
  Template parsed;
  parsed.lines_.emplace_back();
  const auto add = [&](char c) {
    Line& line = parsed.lines_.back();
    if (line.empty() || line.back().is_field) line.push_back({});
    line.back().text += c;
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\n') {
      parsed.lines_.emplace_back();
    } else if ((c == '{' || c == '}') && i + 1 < text.size() && text[i + 1] == c) {
      add(c);
      ++i;
    } else if (c == '{') {
      const std::size_t end = text.find('}', i);
      if (end == std::string_view::npos) return Error{"a { without its }"};
      const std::string name(text.substr(i + 1, end - i - 1));
      if (known.find(name) == known.end()) {
        return Error{fmt::format("there is no placeholder {{{}}}", one_line(name, 40))};
      }
      parsed.lines_.back().push_back({name, true});
      i = end;
    } else if (c == '}') {
      return Error{"a } without its {"};
    } else {
      add(c);
    }
  }
  return parsed;
}

std::string Template::fill(const Fields& fields) const {
  std::string all;
  for (const Line& line : lines_) {
    std::string text;
    bool has_field = false;
    bool has_value = false;
    for (const Piece& piece : line) {
      const std::string& part = piece.is_field ? fields.at(piece.text) : piece.text;
      has_field = has_field || piece.is_field;
      has_value = has_value || (piece.is_field && !part.empty());
      text += part;
    }
    if (has_field && !has_value) continue;
    all += text + '\n';
  }
  if (!all.empty()) all.pop_back();  // the last line's end, if any, is a line of its own
  return all;
}

}  // namespace fixwright::notify
