#include <fmt/core.h>

#include "server/report/feature_formats.hpp"
#include "server/report/xml_text.hpp"

namespace fixwright::report {

namespace {

void set_place(pugi::xml_node node, const std::pair<double, double>& vertex) {
  node.append_attribute("lat").set_value(fmt::format("{}", vertex.second).c_str());
  node.append_attribute("lon").set_value(fmt::format("{}", vertex.first).c_str());
}

/// The schema wants time before name, name before desc, desc before type.
void add_waypoint(pugi::xml_node root, const Layer& layer, const Feature& f) {
  pugi::xml_node point = root.append_child("wpt");
  set_place(point, vertices_of(f.geometry).front().front());
  if (!f.end_at.empty()) add_text(point, "time", utc_text(f.end_at));
  add_text(point, "name", f.title);
  add_text(point, "desc", property_lines(f));
  add_text(point, "type", layer.name);
}

void add_track(pugi::xml_node root, const Layer& layer, const Feature& f) {
  pugi::xml_node track = root.append_child("trk");
  add_text(track, "name", f.title);
  add_text(track, "desc", property_lines(f));
  add_text(track, "type", layer.name);
  const auto lines = vertices_of(f.geometry);
  for (const auto& line : lines) {
    pugi::xml_node segment = track.append_child("trkseg");
    const bool timed = lines.size() == 1 && f.times.size() == line.size();
    for (std::size_t i = 0; i < line.size(); ++i) {
      pugi::xml_node point = segment.append_child("trkpt");
      set_place(point, line[i]);
      if (timed) add_text(point, "time", utc_text(f.times[i]));
    }
  }
}

}  // namespace

std::string features_gpx(const Layer& layer, std::span<const Feature> features) {
  pugi::xml_document document;
  pugi::xml_node root = begin_document(document, "gpx");
  root.append_attribute("xmlns").set_value("http://www.topografix.com/GPX/1/1");
  root.append_attribute("version").set_value("1.1");
  root.append_attribute("creator").set_value("fixwright");
  pugi::xml_node metadata = root.append_child("metadata");
  add_text(metadata, "name", layer.title);
  add_text(metadata, "desc", layer.about);
  for (const Feature& f : features) {
    if (f.geometry.at("type") == "Point") {
      add_waypoint(root, layer, f);
    } else {
      add_track(root, layer, f);
    }
  }
  return document_text(document);
}

}  // namespace fixwright::report
