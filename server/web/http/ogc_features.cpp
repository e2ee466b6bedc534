#include "server/web/http/ogc_features.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cctype>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>

#include "server/base/clock.hpp"
#include "server/web/http/ogc_description.hpp"
#include "server/web/http/ogc_query.hpp"
#include "server/web/http/view_json.hpp"

namespace fixwright::web {

namespace {

using nlohmann::json;

constexpr std::string_view kJson = "application/json";
constexpr std::string_view kGeoJson = "application/geo+json";
constexpr std::string_view kOpenApi = "application/vnd.oai.openapi+json;version=3.0";
constexpr auto kCollections = "/collections";

/// A link that is made of it can't lead to another place than the asker's own browser went.
std::string root_of(std::string_view host) {
  const bool fine = !host.empty() && std::all_of(host.begin(), host.end(), [](unsigned char c) {
    return std::isalnum(c) != 0 || c == '.' || c == '-' || c == ':' || c == '[' || c == ']';
  });
  return fmt::format("http://{}{}", fine ? host : "localhost", kOgc);
}

json link(const std::string& href, const char* relation, std::string_view type, const char* title) {
  return {{"href", href}, {"rel", relation}, {"type", type}, {"title", title}};
}

Answer landing(const std::string& root) {
  const json page{{"title", "Fixwright"},
                  {"description",
                   "Emitters located by a club's standing stations. Evidence, never proof of who "
                   "transmits."},
                  {"links",
                   {link(root, "self", kJson, "This document"),
                    link(root + "/api", "service-desc", kOpenApi, "The API"),
                    link(root + "/conformance", "conformance", kJson, "What it conforms to"),
                    link(root + kCollections, "data", kJson, "The layers")}}};
  return text_answer(kJson, json_text(page));
}

Answer conformance() {
  const std::string classes = "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/";
  return text_answer(kJson, json_text({{"conformsTo", {classes + "core", classes + "geojson"}}}));
}

json collection_json(const Layer& layer, const std::string& root) {
  const std::string self = root + kCollections + "/" + layer.name;
  return {{"id", layer.name},
          {"title", layer.title},
          {"description", layer.about},
          {"itemType", "feature"},
          {"crs", {"http://www.opengis.net/def/crs/OGC/1.3/CRS84"}},
          {"links",
           {link(self, "self", kJson, "This layer"),
            link(self + "/items", "items", kGeoJson, "Its features")}}};
}

Answer collections(const std::vector<Layer>& layers, const std::string& root) {
  json list = json::array();
  for (const Layer& layer : layers) list.push_back(collection_json(layer, root));
  return text_answer(
      kJson, json_text({{"links", {link(root + kCollections, "self", kJson, "This document")}},
                        {"collections", std::move(list)}}));
}

/// The same query with another offset.
std::string next_query(const Target& target, const FeatureFilter& filter) {
  std::string query =
      fmt::format("?limit={}&offset={}", filter.limit, filter.offset + filter.limit);
  for (const auto& [key, value] : target.query) {
    if (key == "bbox" || key == "datetime") query += fmt::format("&{}={}", key, value);
  }
  return query;
}

Answer items(PagePort& port, const Layer& layer, const Target& target, const std::string& root) {
  const auto filter = feature_filter(target);
  if (!filter) return error_answer(400, filter.error());
  const FeaturePage page = port.features(layer.name, *filter);
  const std::string self = root + kCollections + "/" + layer.name + "/items";
  json links{link(self, "self", kGeoJson, "These features")};
  if (filter->offset + page.features.size() < page.matched) {
    links.push_back(link(self + next_query(target, *filter), "next", kGeoJson, "The next ones"));
  }
  // The features are JSON already: they are put in as they are.
  std::string text = fmt::format(
      R"({{"type":"FeatureCollection","numberMatched":{},"numberReturned":{},"timeStamp":"{}",)"
      R"("links":{},"features":[)",
      page.matched, page.features.size(), format_rfc3339(SystemClock().now(), 0), json_text(links));
  const char* before = "\n";
  for (const std::string& feature : page.features) {
    text += before + feature;
    before = ",\n";
  }
  return text_answer(kGeoJson, text + "\n]}\n");
}

Answer item(PagePort& port, const Layer& layer, std::string_view id) {
  FeatureFilter filter;
  filter.id = std::string(id);
  const FeaturePage page = port.features(layer.name, filter);
  if (page.features.empty()) {
    return error_answer(404, fmt::format("{} {}: there is none", layer.name, id));
  }
  return text_answer(kGeoJson, page.features.front());
}

/// "LAYER", "LAYER/items", "LAYER/items/ID"
Answer below_collections(PagePort& port, std::string_view path, const Target& target,
                         const std::string& root) {
  const auto slash = path.find('/');
  const auto name = path.substr(0, slash);
  const auto rest = slash == std::string_view::npos ? std::string_view{} : path.substr(slash);
  const auto layers = port.layers();
  const auto layer =
      std::find_if(layers.begin(), layers.end(), [&](const Layer& l) { return l.name == name; });
  if (layer == layers.end()) {
    return error_answer(404, fmt::format("collection {}: there is none", name));
  }
  if (rest.empty()) return text_answer(kJson, json_text(collection_json(*layer, root)));
  constexpr std::string_view kItems = "/items";
  if (rest == kItems) return items(port, *layer, target, root);
  if (rest.starts_with("/items/")) return item(port, *layer, rest.substr(kItems.size() + 1));
  return error_answer(404, fmt::format("{}: there is nothing here", target.path));
}

}  // namespace

Answer ogc_answer(PagePort& port, const Target& target, std::string_view host) {
  const std::string root = root_of(host);
  std::string_view path = std::string_view(target.path).substr(kOgc.size());
  if (path.ends_with('/')) path.remove_suffix(1);
  const bool takes_query = path.ends_with("/items");
  if (!takes_query && !target.query.empty()) {
    return error_answer(400, fmt::format("query: {}: unknown key", target.query.front().first));
  }
  if (path.empty()) return landing(root);
  if (path == "/api") return text_answer(kOpenApi, json_text(ogc_description(port.layers(), root)));
  if (path == "/conformance") return conformance();
  if (path == kCollections) return collections(port.layers(), root);
  const std::string below = std::string(kCollections) + "/";
  if (path.starts_with(below)) {
    return below_collections(port, path.substr(below.size()), target, root);
  }
  return error_answer(404, fmt::format("{}: there is nothing here", target.path));
}

}  // namespace fixwright::web
