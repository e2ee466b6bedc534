#include "server/report/handover_sheet.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "server/base/text.hpp"
#include "server/report/html.hpp"
#include "server/report/report_map.hpp"
#include "server/report/report_words.hpp"

namespace fixwright::report {

namespace {

using pugi::xml_node;

constexpr double kRoadWithin_m = 50'000.0;

constexpr auto kStyle =
    "body{font:17px/1.5 sans-serif;max-width:34em;margin:0 auto;padding:.8em;color:#111;"
    "background:#fff;overflow-wrap:anywhere}h1{font-size:1.3em}h2{font-size:1.1em;margin:1.4em 0 "
    ".3em}"
    ".caution{border:3px solid #111;padding:.2em .8em}li{margin:.3em 0}"
    "a{display:inline-block;padding:.5em .8em;border:2px solid #111;border-radius:.4em;color:#111;"
    "margin:.2em 0}.line{border-bottom:1px solid #555;height:2.2em}"
    "svg{width:100%;border:1px solid #555;font:22px sans-serif}"
    "svg .grid{stroke:#ccc;fill:#777;stroke-width:.7}svg text.grid{stroke:none;font-size:20px}"
    "svg .region{fill:#777;fill-opacity:.18;stroke:#111;stroke-width:3}"
    "svg .road{fill:none;stroke:#555;stroke-width:5}svg .scale{stroke:#111;stroke-width:4}"
    "@page{margin:15mm}@media print{body{font-size:11pt}a{border:0;padding:0}}";

constexpr std::array kCautions{
    "One drives, another operates. Stop where that is safe and allowed, then read this sheet, the "
    "map and the receiver.",
    "Stay on public ground. No trespass: a gate, a fence or a sign is where you turn round, even "
    "if "
    "the outline goes on.",
    "Keep off towers, masts and roofs, and away from antennas that may be on the air: near one, "
    "fields can burn and harm without being felt. Keep the distance that the signs there say.",
    "Don't go alone. Tell somebody where you go and when you will be back, and ring them then.",
    "Never confront anybody, never touch or switch off anything, never transmit to disturb.",
    "Listen only to what the law where you are lets you hear; don't tell others what was said.",
    "The outline is evidence, never proof of who transmits. You look for a place, not for a "
    "person.",
};

xml_node add_list(xml_node parent, const std::vector<std::string>& items) {
  xml_node list = parent.append_child("ul");
  for (const auto& item : items) add_element(list, "li", item);
  return list;
}

/// "41° 12.000' N"
std::string minutes(double deg, char positive, char negative) {
  const double thousandths = std::round(std::abs(deg) * 60'000.0);
  const double whole = std::floor(thousandths / 60'000.0);
  return fmt::format("{:.0f}° {:06.3f}' {}", whole, (thousandths - whole * 60'000.0) / 1000.0,
                     deg < 0.0 ? negative : positive);
}

std::string compass(double azimuth_deg) {
  constexpr std::array<std::string_view, 8> kWinds{"north", "north-east", "east", "south-east",
                                                   "south", "south-west", "west", "north-west"};
  const auto index = static_cast<std::size_t>(std::floor(azimuth_deg / 45.0 + 0.5)) % 8;
  return std::string(kWinds.at(index));
}

xml_node add_link(xml_node parent, const std::string& href, const std::string& text) {
  xml_node paragraph = parent.append_child("p");
  return with(add_element(paragraph, "a", text), "href", href);
}

void add_place(xml_node body, const EmitterEvidence& e) {
  add_element(body, "h2", "Where it may be");
  const GeoPoint p = e.position;
  add_element(body, "p",
              fmt::format("Most likely place: {}, {} (WGS84); in decimals {:.5f}, {:.5f}.",
                          minutes(p.latitude_deg, 'N', 'S'), minutes(p.longitude_deg, 'E', 'W'),
                          p.latitude_deg, p.longitude_deg));
  for (const auto& words : place_words(e)) add_element(body, "p", words);
}

/// Not of a region over the antimeridian: its box would go round the world.
void add_bounds(xml_node body, const EmitterEvidence& e) {
  double south = 90.0, north = -90.0, west = 180.0, east = -180.0;
  for (const auto& ring : e.region) {
    for (const GeoPoint& p : ring) {
      south = std::min(south, p.latitude_deg);
      north = std::max(north, p.latitude_deg);
      west = std::min(west, p.longitude_deg);
      east = std::max(east, p.longitude_deg);
    }
  }
  if (east - west > 180.0) return;
  add_element(body, "h2", "Am I inside?");
  add_element(
      body, "p",
      fmt::format("You may be inside while your receiver shows a latitude from {} to {} and "
                  "a longitude from {} to {}: that is the box round the outline. Beyond "
                  "that box you are outside the outline.",
                  minutes(south, 'N', 'S'), minutes(north, 'N', 'S'), minutes(west, 'E', 'W'),
                  minutes(east, 'E', 'W')));
}

void add_access(xml_node body, const EmitterEvidence& e, const std::vector<Road>& roads) {
  add_element(body, "h2", "How to get there");
  const auto road = nearest_road(e.position, roads, kRoadWithin_m);
  if (!road) {
    add_element(body, "p",
                "The basemap shows no road near it: choose one from a road map before you go.");
    return;
  }
  const std::string named = road->name.empty() ? "the nearest road of the basemap" : road->name;
  add_element(body, "p",
              fmt::format("Come from the {}: {} passes {} from the most likely place. Drive to the "
                          "road, not to the place, and see there whether the public may go on.",
                          compass(road->azimuth_deg), named, kilometres(road->distance_m)));
  add_link(body, geo_uri(road->position, 50.0), "Navigate to the road");
}

void add_listening(xml_node body, const EmitterEvidence& e) {
  add_element(body, "h2", "What to listen for");
  add_list(body,
           {fmt::format("Frequency: {}.", megahertz(e.frequency_hz)),
            fmt::format("Last heard: {} UTC.", time_text(e.last_heard)),
            "With a directional antenna, take azimuths from several places round the outline; "
            "note the time, the place and how sure each is.",
            "Note whether the level rises as you go: write it down each time you stop."});
}

void add_notes(xml_node body, const std::string& report_to) {
  add_element(body, "h2", "What you found");
  add_element(body, "p",
              report_to.empty()
                  ? "Tell the one who sent you, and leave the rest to the authority."
                  : "Tell " + one_line(report_to) + ", and leave the rest to the authority.");
  for (const char* what :
       {"Time, place, azimuth, level", "Time, place, azimuth, level", "Time, place, azimuth, level",
        "What is to be seen from public ground"}) {
    add_element(body, "p", what);
    with(add_element(body, "div"), "class", "line");
  }
}

}  // namespace

std::string geo_uri(GeoPoint position, double uncertainty_m) {
  return fmt::format("geo:{:.5f},{:.5f};u={:.0f}", position.latitude_deg, position.longitude_deg,
                     uncertainty_m);
}

std::string handover_sheet(const EmitterEvidence& e, const HandoverOrder& order) {
  pugi::xml_document document;
  const std::string title = "Way to " + name_of(e);
  xml_node body = add_page(document, title, kStyle);
  add_element(body, "h1", title);
  add_element(
      body, "p",
      fmt::format("Written {} UTC by {}.", time_text(order.written_at), one_line(order.by)));
  xml_node caution = with(body.append_child("div"), "class", "caution");
  add_element(caution, "h2", "Before you go");
  add_list(caution, {kCautions.begin(), kCautions.end()});
  add_place(body, e);
  add_region_map(body, e, order.roads);
  add_link(body, geo_uri(e.position, e.semi_major_m), "Show the place in the phone's own map");
  add_bounds(body, e);
  add_access(body, e, order.roads);
  add_listening(body, e);
  add_notes(body, order.report_to);
  return html_text(document);
}

}  // namespace fixwright::report
