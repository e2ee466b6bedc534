#pragma once
/// What is stored as map layers: features of one kind, for exports and for GIS clients.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"
#include "server/base/time.hpp"

namespace fixwright {

struct Layer {
  std::string name;   // "emitters": in commands and addresses
  std::string title;  // "Emitters"
  std::string about;  // one or two sentences
};

/// A rectangle of longitude and latitude, degrees; it crosses the antimeridian where west > east.
struct GeoBox {
  double west_deg = -180.0;
  double south_deg = -90.0;
  double east_deg = 180.0;
  double north_deg = 90.0;
};

/// "WEST,SOUTH,EAST,NORTH". Error: the rule that is broken.
Result<GeoBox> parse_box(std::string_view text);

/// Which features of a layer. Those without a time are always within it.
struct FeatureFilter {
  std::optional<std::string> id;
  std::optional<GeoBox> box;       // that touch it
  std::optional<TimePoint> from;   // that lasted until then or longer
  std::optional<TimePoint> until;  // that began then or earlier
  std::size_t limit = 1000;
  std::size_t offset = 0;
};

struct FeaturePage {
  /// Each a Feature of RFC 7946 with the members `id` and `properties.title`; by id.
  std::vector<std::string> features;
  std::size_t matched = 0;  // how many there are without limit and offset
};

}  // namespace fixwright
