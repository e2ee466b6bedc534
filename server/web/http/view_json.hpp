#pragma once
/// What the page is shown, as JSON. Words are those of the model, units are in the names,
/// identities of 64 bits are text (a JavaScript number holds 53).

#include <nlohmann/json_fwd.hpp>
#include <span>
#include <string>

#include "server/model/bearing.hpp"
#include "server/model/views.hpp"
#include "server/web/http/station_names.hpp"

namespace fixwright::web {

/// A GeoJSON Feature: its geometry is the 95 % region, null without an accepted fix; the
/// position is a property, since a region is not a point.
nlohmann::json emitter_json(const EmitterView& view, const StationNames& names);

/// {"emitter": Feature, "fixes": [...]}: each fix with its bearings, newest first.
nlohmann::json emitter_detail_json(const EmitterView& view, std::span<const FixView> fixes,
                                   const StationNames& names);

/// A FeatureCollection of points.
nlohmann::json stations_json(std::span<const StationView> stations);

nlohmann::json alert_json(const AlertView& view, const StationNames& names);

nlohmann::json bearing_json(const Bearing& bearing, const StationNames& names);

/// {"type": "FeatureCollection", "features": [...]}
nlohmann::json feature_collection(nlohmann::json features);

/// Text of `json`; bytes that are not UTF-8 are replaced, never thrown on.
std::string json_text(const nlohmann::json& json);

}  // namespace fixwright::web
