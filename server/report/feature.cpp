#include "server/report/feature.hpp"

namespace fixwright::report {

using nlohmann::ordered_json;

namespace {

std::string taken(ordered_json& properties, const char* name) {
  const auto found = properties.find(name);
  if (found == properties.end()) return {};
  std::string text = found->is_string() ? found->get<std::string>() : std::string{};
  properties.erase(found);
  return text;
}

std::string text_at(const ordered_json& properties, const char* name) {
  const auto found = properties.find(name);
  const bool there = found != properties.end() && found->is_string();
  return there ? found->get<std::string>() : std::string{};
}

std::vector<std::pair<double, double>> line_of(const ordered_json& coordinates) {
  std::vector<std::pair<double, double>> line;
  for (const auto& vertex : coordinates) {
    line.emplace_back(vertex.at(0).get<double>(), vertex.at(1).get<double>());
  }
  return line;
}

}  // namespace

Feature read_feature(std::string_view geojson) {
  ordered_json whole = ordered_json::parse(geojson);
  Feature f;
  f.geometry = std::move(whole.at("geometry"));
  f.properties = std::move(whole.at("properties"));
  f.id = taken(f.properties, "id");
  f.title = taken(f.properties, "title");
  f.begin_at = text_at(f.properties, "begin_at");
  f.end_at = text_at(f.properties, "end_at");
  if (const auto times = f.properties.find("times"); times != f.properties.end()) {
    f.times = times->get<std::vector<std::string>>();
    f.properties.erase(times);
  }
  return f;
}

std::string property_text(const ordered_json& value) {
  if (value.is_null()) return {};
  if (value.is_string()) return value.get<std::string>();
  if (!value.is_array()) return value.dump();
  std::string text;
  for (const auto& item : value) text += (text.empty() ? "" : "; ") + property_text(item);
  return text;
}

std::string property_lines(const Feature& feature) {
  std::string lines;
  for (const auto& [name, value] : feature.properties.items()) {
    if (value.is_null()) continue;
    lines += (lines.empty() ? "" : "\n") + name + ": " + property_text(value);
  }
  return lines;
}

std::vector<std::vector<std::pair<double, double>>> vertices_of(const ordered_json& geometry) {
  const std::string type = geometry.at("type");
  const ordered_json& coordinates = geometry.at("coordinates");
  if (type == "Point")
    return {{{coordinates.at(0).get<double>(), coordinates.at(1).get<double>()}}};
  std::vector<std::vector<std::pair<double, double>>> lines;
  for (const auto& part : coordinates) {
    if (type == "MultiLineString") {
      lines.push_back(line_of(part));
    } else {
      for (const auto& ring : part) lines.push_back(line_of(ring));
    }
  }
  return lines;
}

}  // namespace fixwright::report
