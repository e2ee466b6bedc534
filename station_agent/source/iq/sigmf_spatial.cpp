#include "station_agent/source/iq/sigmf_spatial.hpp"

#include <fmt/core.h>

#include <cmath>
#include <numbers>

namespace fixwright::agent::iq {

namespace {

constexpr double kMost_m = 1000.0;  // no array is so large; keeps nonsense out
constexpr const char* kPointRule =
    "must be {\"point\": [x, y, z]}, metres within 1000, or "
    "{\"unknown\": true}";

struct Aperture {
  std::optional<double> azimuth_deg;
  double rotation_deg = 0.0;  // right-handed round the boresight
};

Aperture read_aperture(const JsonFields& capture) {
  Aperture aperture;
  aperture.azimuth_deg = capture.number("spatial:aperture_azimuth", -3600.0, 3600.0);
  if (const auto* bearing = capture.find("spatial:aperture_bearing"); bearing != nullptr) {
    const JsonFields fields(*bearing, capture.place() + " spatial:aperture_bearing",
                            capture.problems());
    const auto azimuth_deg = fields.number("azimuth", -3600.0, 3600.0);
    if (azimuth_deg) aperture.azimuth_deg = azimuth_deg;
  }
  aperture.rotation_deg =
      capture.number("spatial:aperture_rotation", -3600.0, 3600.0).value_or(0.0);
  return aperture;
}

bool is_coordinate(const nlohmann::json& value) {
  return value.is_number() && std::abs(value.get<double>()) <= kMost_m;
}

bool is_point(const nlohmann::json& object) {
  if (!object.is_object() || !object.contains("point")) return false;
  const auto& point = object["point"];
  return point.is_array() && point.size() == 3 && is_coordinate(point[0]) &&
         is_coordinate(point[1]) && is_coordinate(point[2]);
}

bool is_unknown(const nlohmann::json& object) {
  return object.is_object() && !object.contains("point") && object.contains("unknown");
}

array::ElementPosition to_ours(const nlohmann::json& point, double rotation_deg) {
  const double turn = rotation_deg * std::numbers::pi / 180.0;
  const auto left_m = point[1].get<double>();
  const auto up_m = point[2].get<double>();
  return {.x_m = -(left_m * std::cos(turn) - up_m * std::sin(turn)),
          .y_m = point[0].get<double>(),
          .z_m = left_m * std::sin(turn) + up_m * std::cos(turn)};
}

/// Where the recording's first element stands in the list.
std::optional<std::size_t> first_listed(std::size_t listed, const SpatialGlobal& global,
                                        std::size_t channels) {
  if (listed == channels) return 0;
  const bool whole_array = listed == global.num_elements;
  if (whole_array && global.channel_index + channels <= listed) return global.channel_index;
  return {};
}

}  // namespace

SpatialGlobal read_spatial_global(const JsonFields& global, std::size_t channels) {
  SpatialGlobal spatial;
  spatial.num_elements = global.count("spatial:num_elements", 1, 100'000).value_or(0);
  spatial.channel_index = global.count("spatial:channel_index", 0, 100'000).value_or(0);
  if (spatial.num_elements > 0 && spatial.channel_index + channels > spatial.num_elements) {
    global.complain("spatial:num_elements",
                    fmt::format("must be at least spatial:channel_index + core:num_channels, {}",
                                spatial.channel_index + channels));
  }
  return spatial;
}

std::optional<StreamArray> read_spatial_capture(const JsonFields& capture,
                                                const SpatialGlobal& global, std::size_t channels) {
  constexpr std::string_view kKey = "spatial:element_geometry";
  const Aperture aperture = read_aperture(capture);
  const auto* list = capture.find(kKey);
  if (list == nullptr) return {};
  if (!list->is_array()) {
    capture.complain(kKey, "must be a list of points");
    return {};
  }
  const auto first = first_listed(list->size(), global, channels);
  if (!first) {
    capture.complain(kKey, fmt::format("holds {} points: must be as many as core:num_channels, {}, "
                                       "or as spatial:num_elements, {}",
                                       list->size(), channels, global.num_elements));
    return {};
  }
  StreamArray result;
  for (std::size_t e = 0; e < channels; ++e) {
    const auto& point = (*list)[*first + e];
    if (is_unknown(point)) return {};
    if (!is_point(point)) {
      capture.complain(kKey, fmt::format("element {}: {}", *first + e, kPointRule));
      return {};
    }
    result.geometry.elements.push_back(to_ours(point["point"], aperture.rotation_deg));
  }
  result.orientation_known = aperture.azimuth_deg.has_value();
  result.geometry.orientation_deg = aperture.azimuth_deg.value_or(0.0);
  return result;
}

void write_spatial_capture(const StreamArray& array, nlohmann::ordered_json& capture) {
  if (array.orientation_known) {
    capture["spatial:aperture_azimuth"] = array.geometry.orientation_deg;
  }
  auto& list = capture["spatial:element_geometry"] = nlohmann::ordered_json::array();
  for (const auto& at : array.geometry.elements) {
    list.push_back({{"point", {at.y_m, 0.0 - at.x_m, at.z_m}}});
  }
}

}  // namespace fixwright::agent::iq
