#include <fmt/core.h>

#include "server/report/feature_formats.hpp"
#include "server/report/xml_text.hpp"

namespace fixwright::report {

namespace {

constexpr auto kStyle = "outline";

std::string coordinates(const nlohmann::ordered_json& vertices) {
  std::string text;
  for (const auto& v : vertices) {
    text += fmt::format("{}{},{}", text.empty() ? "" : " ", v.at(0).get<double>(),
                        v.at(1).get<double>());
  }
  return text;
}

void add_polygon(pugi::xml_node parent, const nlohmann::ordered_json& rings) {
  pugi::xml_node polygon = parent.append_child("Polygon");
  for (std::size_t i = 0; i < rings.size(); ++i) {
    polygon.append_child(i == 0 ? "outerBoundaryIs" : "innerBoundaryIs")
        .append_child("LinearRing")
        .append_child("coordinates")
        .text()
        .set(coordinates(rings[i]).c_str());
  }
}

void add_geometry(pugi::xml_node placemark, const nlohmann::ordered_json& geometry) {
  const std::string type = geometry.at("type");
  const auto& at = geometry.at("coordinates");
  if (type == "Point") {
    add_text(placemark.append_child("Point"), "coordinates",
             coordinates(nlohmann::ordered_json::array({at})));
    return;
  }
  pugi::xml_node parts = placemark.append_child("MultiGeometry");
  for (const auto& part : at) {
    if (type == "MultiPolygon") {
      add_polygon(parts, part);
    } else {
      add_text(parts.append_child("LineString"), "coordinates", coordinates(part));
    }
  }
}

void add_time(pugi::xml_node placemark, const Feature& f) {
  if (f.begin_at.empty()) return;
  pugi::xml_node span = placemark.append_child("TimeSpan");
  add_text(span, "begin", utc_text(f.begin_at));
  add_text(span, "end", utc_text(f.end_at));
}

/// The schema wants name, time, style, data, geometry in this order.
void add_placemark(pugi::xml_node document, const Feature& f) {
  pugi::xml_node placemark = document.append_child("Placemark");
  add_text(placemark, "name", f.title);
  add_time(placemark, f);
  add_text(placemark, "styleUrl", std::string("#") + kStyle);
  pugi::xml_node data = placemark.append_child("ExtendedData");
  const auto add = [&](const std::string& name, const std::string& value) {
    pugi::xml_node item = data.append_child("Data");
    item.append_attribute("name").set_value(name.c_str());
    add_text(item, "value", value);
  };
  add("id", f.id);
  for (const auto& [name, value] : f.properties.items()) {
    if (!value.is_null()) add(name, property_text(value));
  }
  add_geometry(placemark, f.geometry);
}

void add_style(pugi::xml_node document) {
  pugi::xml_node style = document.append_child("Style");
  style.append_attribute("id").set_value(kStyle);
  add_text(style.append_child("LineStyle"), "width", "2");
  add_text(style.append_child("PolyStyle"), "fill", "0");
}

}  // namespace

std::string features_kml(const Layer& layer, std::span<const Feature> features) {
  pugi::xml_document document;
  pugi::xml_node root = begin_document(document, "kml");
  root.append_attribute("xmlns").set_value("http://www.opengis.net/kml/2.2");
  pugi::xml_node folder = root.append_child("Document");
  add_text(folder, "name", layer.title);
  add_text(folder, "description", layer.about);
  add_style(folder);
  for (const Feature& f : features) add_placemark(folder, f);
  return document_text(document);
}

}  // namespace fixwright::report
