#include "server/web/http/ogc_description.hpp"

#include "server/web/http/ogc_query.hpp"

namespace fixwright::web {

namespace {

using nlohmann::json;

json parameter(const char* name, const char* about, json schema) {
  return {
      {"name", name},     {"in", "query"},        {"required", false},          {"style", "form"},
      {"explode", false}, {"description", about}, {"schema", std::move(schema)}};
}

json whole(std::size_t low, std::size_t high, std::size_t fallback) {
  return {{"type", "integer"}, {"minimum", low}, {"maximum", high}, {"default", fallback}};
}

json get(const std::string& name, const std::string& about, json parameters = json::array()) {
  const json answers{{"200", {{"description", "The answer"}}},
                     {"400", {{"description", "What is wrong with the question, in one line"}}},
                     {"404", {{"description", "There is none"}}}};
  return {{"get",
           {{"operationId", name},
            {"summary", about},
            {"parameters", std::move(parameters)},
            {"responses", answers}}}};
}

json item_parameters() {
  const json four{
      {"type", "array"}, {"items", {{"type", "number"}}}, {"minItems", 4}, {"maxItems", 4}};
  return {parameter("bbox", "West, south, east, north in degrees: features that touch it", four),
          parameter("datetime", "A time of RFC 3339, or FROM/UNTIL with .. for an open end",
                    {{"type", "string"}}),
          parameter("limit", "Features at most", whole(1, kMaxFeatures, 1000)),
          parameter("offset", "Features to pass over", whole(0, 100'000'000, 0))};
}

json id_parameter() {
  return {{{"name", "featureId"},
           {"in", "path"},
           {"required", true},
           {"schema", {{"type", "string"}}}}};
}

}  // namespace

json ogc_description(const std::vector<Layer>& layers, const std::string& root) {
  json paths{{"/", get("landing", "The landing page")},
             {"/conformance", get("conformance", "What it conforms to")},
             {"/collections", get("collections", "The layers")}};
  for (const Layer& layer : layers) {
    const std::string path = "/collections/" + layer.name;
    paths[path] = get(layer.name, layer.title);
    paths[path + "/items"] = get(layer.name + "_items", layer.about, item_parameters());
    paths[path + "/items/{featureId}"] =
        get(layer.name + "_item", "One of " + layer.title, id_parameter());
  }
  return {{"openapi", "3.0.3"},
          {"info", {{"title", "Fixwright"}, {"version", "1.0.0"}}},
          {"servers", json::array({{{"url", root}}})},
          {"paths", std::move(paths)}};
}

}  // namespace fixwright::web
