#include <fmt/core.h>

#include "server/base/csv.hpp"
#include "server/report/feature_formats.hpp"

namespace fixwright::report {

namespace {

using Line = std::vector<std::pair<double, double>>;

bool is_point(const Feature& f) { return f.geometry.at("type") == "Point"; }

std::string ring_text(const nlohmann::ordered_json& coordinates) {
  std::string text;
  for (const auto& v : coordinates) {
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", v.at(0).get<double>(),
                        v.at(1).get<double>());
  }
  return "(" + text + ")";
}

/// Of a MultiLineString or a MultiPolygon: the nesting of GeoJSON is that of WKT.
std::string nested_text(const nlohmann::ordered_json& coordinates) {
  if (coordinates.at(0).at(0).is_number()) return ring_text(coordinates);
  std::string text;
  for (const auto& part : coordinates) text += (text.empty() ? "" : ", ") + nested_text(part);
  return "(" + text + ")";
}

std::string wkt(const nlohmann::ordered_json& geometry) {
  const bool line = geometry.at("type") == "MultiLineString";
  return (line ? "MULTILINESTRING " : "MULTIPOLYGON ") + nested_text(geometry.at("coordinates"));
}

std::vector<std::string> header(const Feature& f) {
  std::vector<std::string> names{"id", "title"};
  for (const auto& [name, value] : f.properties.items()) names.push_back(name);
  if (is_point(f)) {
    names.insert(names.end(), {"latitude", "longitude"});
  } else {
    names.emplace_back("wkt");
  }
  return names;
}

std::vector<std::string> row(const Feature& f) {
  std::vector<std::string> cells{f.id, f.title};
  for (const auto& [name, value] : f.properties.items()) cells.push_back(property_text(value));
  if (is_point(f)) {
    const auto& at = f.geometry.at("coordinates");
    cells.push_back(fmt::format("{}", at.at(1).get<double>()));
    cells.push_back(fmt::format("{}", at.at(0).get<double>()));
  } else {
    cells.push_back(wkt(f.geometry));
  }
  return cells;
}

}  // namespace

std::string features_csv(std::span<const Feature> features) {
  if (features.empty()) return {};
  std::string text = csv_row(header(features.front()));
  for (const Feature& f : features) text += csv_row(row(f));
  return text;
}

}  // namespace fixwright::report
