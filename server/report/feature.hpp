#pragma once
/// A feature of a map layer in the form that the formats are written from.

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fixwright::report {

struct Feature {
  std::string id;
  std::string title;
  std::string begin_at, end_at;       // RFC 3339; empty: it has no time
  std::vector<std::string> times;     // of the vertices of a line; empty: they have none
  nlohmann::ordered_json properties;  // all but id, title and times, as named in sql/layers
  nlohmann::ordered_json geometry;    // of RFC 7946: Point, MultiLineString or MultiPolygon
};

/// \param geojson  a Feature of RFC 7946 as `FeaturePage` has it. Throws std::exception for what is
///        not one: it is ours.
Feature read_feature(std::string_view geojson);

/// A property for a person: text as it is, a number as JSON writes it, a list with "; " between.
/// Nothing for null.
std::string property_text(const nlohmann::ordered_json& value);

/// All that are not null, "name: value", a line each.
std::string property_lines(const Feature& feature);

/// Lines of (longitude, latitude): one of one vertex for a Point, the lines of a MultiLineString,
/// the rings of a MultiPolygon.
std::vector<std::vector<std::pair<double, double>>> vertices_of(
    const nlohmann::ordered_json& geometry);

}  // namespace fixwright::report
