#include "server/web/http/cap.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <string_view>

#include "server/base/text.hpp"
#include "server/geodesy/ellipse.hpp"

namespace fixwright::web {

namespace {

/// Nearer than that nobody is sure: more of the probability is said in a parameter.
constexpr double kLikely = 0.95;

std::string identifier_of(const std::string& id) {
  std::string text;
  for (const char c : id) {
    const bool kept = c > ' ' && c <= '~' && std::string_view(",<&%").find(c) == std::string::npos;
    text += kept ? std::string(1, c) : fmt::format("%{:02X}", static_cast<unsigned char>(c));
  }
  return text;
}

void add(pugi::xml_node parent, const char* name, const std::string& text) {
  parent.append_child(name).text().set(one_line(text).c_str());
}

void add_parameter(pugi::xml_node info, const char* name, const std::string& value) {
  if (value.empty()) return;
  pugi::xml_node parameter = info.append_child("parameter");
  add(parameter, "valueName", name);
  add(parameter, "value", value);
}

const char* urgency_of(AlertSeverity s) {
  return s == AlertSeverity::urgent    ? "Immediate"
         : s == AlertSeverity::warning ? "Expected"
                                       : "Unknown";
}

const char* severity_of(AlertSeverity s) {
  return s == AlertSeverity::urgent ? "Severe" : s == AlertSeverity::warning ? "Moderate" : "Minor";
}

/// What a register says is never "Observed": it may be late or wrong.
const char* certainty_of(const Alert& a) {
  if (!a.emitter) return "Observed";
  return a.evidence.posterior.value_or(1.0) >= kLikely ? "Likely" : "Possible";
}

std::string event_of(const Alert& a) {
  std::string text = a.rule;
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string description_of(const Alert& a) {
  std::string text = a.message + ".";
  if (!a.evidence.would_change.empty()) {
    text += " What would change it: " + a.evidence.would_change + ".";
  }
  if (a.evidence.position) text += " An ellipse is evidence, never proof of who transmits.";
  return text;
}

/// Latitude first; the first point again at the end.
std::string polygon_of(const std::vector<GeoPoint>& ring) {
  std::string text;
  for (const GeoPoint& p : ring) {
    text +=
        fmt::format("{}{:.5f},{:.5f}", text.empty() ? "" : " ", p.latitude_deg, p.longitude_deg);
  }
  return text;
}

bool crosses_the_antimeridian(const std::vector<GeoPoint>& ring) {
  const auto [west, east] = std::minmax_element(
      ring.begin(), ring.end(),
      [](const GeoPoint& a, const GeoPoint& b) { return a.longitude_deg < b.longitude_deg; });
  return east->longitude_deg - west->longitude_deg > 180.0;
}

/// A polygon in numbers would go the other way round the globe where it crosses 180 degrees.
void add_area(pugi::xml_node info, const AlertEvidence& e) {
  if (!e.position || !e.region) return;
  pugi::xml_node area = info.append_child("area");
  add(area, "areaDesc",
      fmt::format("holds the emitter with {:g} %", 100.0 * e.region->probability));
  const auto ring = geodesy::ellipse_ring(*e.position, *e.region, 36);
  if (!crosses_the_antimeridian(ring)) {
    add(area, "polygon", polygon_of(ring));
    return;
  }
  add(area, "circle",
      fmt::format("{:.5f},{:.5f} {:.3f}", e.position->latitude_deg, e.position->longitude_deg,
                  e.region->semi_major_m / 1000.0));
}

std::string stations_of(const AlertEvidence& e, const StationNames& names) {
  std::string text;
  for (const StationId id : e.stations) text += (text.empty() ? "" : ", ") + names.name(id);
  return text;
}

/// In the order of the schema.
void add_info(pugi::xml_node alert, const Alert& a, const std::string& sender,
              const StationNames& names) {
  pugi::xml_node info = alert.append_child("info");
  add(info, "language", "en");
  add(info, "category", a.emitter ? "Other" : "Infra");
  add(info, "event", event_of(a));
  add(info, "responseType", "Assess");
  add(info, "urgency", a.ended_at ? "Past" : urgency_of(a.severity));
  add(info, "severity", severity_of(a.severity));
  add(info, "certainty", certainty_of(a));
  add(info, "onset", cap_time(a.raised_at));
  add(info, "senderName", sender);
  add(info, "headline", std::string(to_string(a.severity)) + ": " + event_of(a));
  add(info, "description", description_of(a));
  add(info, "instruction",
      "Look at the evidence first. Whoever goes there keeps to the law of the place, stays on "
      "public "
      "ground and accuses nobody.");
  add_parameter(info, "rule", a.rule);
  add_parameter(info, "stations", stations_of(a.evidence, names));
  if (a.evidence.posterior) {
    add_parameter(info, "posterior", fmt::format("{:.3f}", *a.evidence.posterior));
  }
  add_area(info, a.evidence);
}

}  // namespace

std::string cap_time(TimePoint t) {
  std::string text = format_rfc3339(t, 0);
  text.pop_back();  // "Z", which CAP does not know
  return text + "-00:00";
}

std::string cap_identifier(const Alert& alert) {
  return identifier_of(alert.id) + (alert.ended_at ? "/ended" : "");
}

void add_cap(pugi::xml_node parent, const Alert& a, const std::string& sender,
             const StationNames& names) {
  pugi::xml_node alert = parent.append_child("alert");
  alert.append_attribute("xmlns").set_value(kCapNamespace);
  add(alert, "identifier", cap_identifier(a));
  add(alert, "sender", sender);
  add(alert, "sent", cap_time(a.ended_at.value_or(a.raised_at)));
  add(alert, "status", "Actual");
  add(alert, "msgType", a.ended_at ? "Update" : "Alert");
  add(alert, "scope", "Restricted");
  add(alert, "restriction",
      "For the monitoring group; evidence about third parties, not for publication");
  if (a.ended_at) {
    add(alert, "references", sender + "," + identifier_of(a.id) + "," + cap_time(a.raised_at));
  }
  add_info(alert, a, sender, names);
}

}  // namespace fixwright::web
