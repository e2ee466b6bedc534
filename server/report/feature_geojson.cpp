#include "server/report/feature_formats.hpp"

namespace fixwright::report {

namespace {

std::string feature_text(const Feature& f) {
  nlohmann::ordered_json properties;
  properties["title"] = f.title;
  for (const auto& [name, value] : f.properties.items()) properties[name] = value;
  if (!f.times.empty()) properties["times"] = f.times;
  const nlohmann::ordered_json feature{{"type", "Feature"},
                                       {"id", f.id},
                                       {"geometry", f.geometry},
                                       {"properties", std::move(properties)}};
  return feature.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace

std::string features_geojson(std::span<const Feature> features) {
  std::string text = R"({"type":"FeatureCollection","features":[)";
  const char* before = "\n";
  for (const Feature& f : features) {
    text += before + feature_text(f);
    before = ",\n";
  }
  return text + "\n]}\n";
}

std::string features_geojson_sequence(std::span<const Feature> features) {
  std::string text;
  for (const Feature& f : features) text += "\x1e" + feature_text(f) + "\n";
  return text;
}

}  // namespace fixwright::report
