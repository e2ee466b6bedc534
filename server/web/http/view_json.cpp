#include "server/web/http/view_json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "server/geodesy/ellipse.hpp"
#include "server/web/http/region_geometry.hpp"

namespace fixwright::web {

namespace {

using nlohmann::json;

/// Enough digits for the thing shown, no more: the browser gets thousands of these.
json number(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  return std::round(value * scale) / scale;
}

template <typename T>
json or_null(const std::optional<T>& value) {
  return value ? json(*value) : json(nullptr);
}

json time_or_null(const std::optional<TimePoint>& t) {
  return t ? json(format_rfc3339(*t)) : json(nullptr);
}

json ellipse_json(const ErrorEllipse& e) {
  return {{"semi_major_m", number(e.semi_major_m, 1)},
          {"semi_minor_m", number(e.semi_minor_m, 1)},
          {"orientation_deg", number(e.orientation_deg, 1)},
          {"probability", e.probability}};
}

json register_json(const std::optional<RegisterMatch>& match) {
  if (!match) return nullptr;
  return {{"verdict", to_string(match->verdict)},
          {"posterior", number(match->posterior, 3)},
          {"licence", or_null(match->licence)},
          {"distance_m", or_null(match->distance_m)},
          {"frequency_offset_hz", or_null(match->frequency_offset_hz)},
          {"evidence", match->evidence}};
}

json velocity_json(const std::optional<Velocity>& v) {
  if (!v) return nullptr;
  return {{"speed_m_per_s", number(v->speed_m_per_s, 2)},
          {"course_deg", number(v->course_deg, 1)},
          {"speed_sigma_m_per_s", number(v->speed_sigma_m_per_s, 2)}};
}

/// What a fix says of a place; nothing of it is shown when the fix was refused.
void add_place(json& to, const CrossFix& fix) {
  const bool accepted = fix.accepted();
  to["refusal"] = accepted ? json(nullptr) : json(to_string(fix.refusal));
  to["position"] = accepted ? position_json(fix.position) : json(nullptr);
  to["ellipse"] = accepted ? ellipse_json(fix.ellipse) : json(nullptr);
  to["region_kind"] = accepted ? json(to_string(fix.region_kind)) : json(nullptr);
  to["region_open"] = accepted && fix.region_open;
  to["grade"] = accepted ? json(to_string(fix.grade)) : json(nullptr);
}

/// 48 points: the chords of an ellipse then leave its outline by 0.2 % of an axis.
json region_json(const CrossFix& fix) {
  if (!fix.accepted()) return nullptr;
  if (!fix.region.empty()) return polygon_json(fix.region);
  return polygon_json(geodesy::ellipse_ring(fix.position, fix.ellipse, 48));
}

std::string emitter_id(const EmitterKey& key) {
  return std::to_string(key.channel) + "/" + std::to_string(key.id);
}

json emitter_properties(const EmitterView& view, const StationNames& names) {
  const Emitter& e = view.emitter;
  json out = {{"channel", e.key.channel},
              {"id", std::to_string(e.key.id)},
              {"revision", e.revision},
              {"name", or_null(view.name)},
              {"watched", view.watched},
              {"state", to_string(e.state)},
              {"motion", to_string(e.motion)},
              {"frequency_hz", number(e.frequency_hz, 1)},
              {"stations", names.names(e.stations)},
              {"bearings", e.bearings},
              {"looks", e.looks},
              {"first_heard", format_rfc3339(e.first_heard)},
              {"last_heard", format_rfc3339(e.last_heard)},
              {"valid_at", format_rfc3339(e.valid_at)},
              {"velocity", velocity_json(e.velocity)},
              {"register", register_json(view.match)}};
  add_place(out, e.fix);
  return out;
}

json fix_bearing_json(const FixBearingView& b, const StationNames& names) {
  return {{"station", names.name(b.part.key.station)},
          {"stream", std::to_string(b.part.key.stream)},
          {"sequence", std::to_string(b.part.key.sequence)},
          {"azimuth_deg", number(b.azimuth_deg, 2)},
          {"sigma_deg", number(b.sigma_deg, 2)},
          {"residual_deg", number(b.part.residual_deg, 2)},
          {"used", b.part.used}};
}

json fix_json(const FixView& view, const StationNames& names) {
  const Fix& fix = view.fix;
  json bearings = json::array();
  for (const FixBearingView& b : view.bearings) bearings.push_back(fix_bearing_json(b, names));
  json out = {{"transmission_start", format_rfc3339(fix.key.transmission.start, 9)},
              {"ordinal", fix.key.ordinal},
              {"revision", fix.revision},
              {"state", to_string(fix.state)},
              {"valid_at", format_rfc3339(fix.valid_at)},
              {"frequency_hz", number(fix.frequency_hz, 1)},
              {"stations", fix.stations},
              {"chi_square", number(fix.solution.chi_square, 3)},
              {"degrees_of_freedom", fix.solution.degrees_of_freedom},
              {"bearings", std::move(bearings)}};
  add_place(out, fix.solution);
  return out;
}

json station_feature(const StationView& view) {
  const Station& s = view.station;
  json properties = {{"name", s.name},
                     {"connected", view.connected},
                     {"last_heartbeat", time_or_null(view.last_heartbeat)},
                     {"clock_error_s", number(seconds(view.clock_error), 6)},
                     {"antenna_height_m", s.antenna_height_m},
                     {"site_sigma_deg", s.site_sigma_deg},
                     {"bias_deg", s.bias_deg},
                     {"bearings_admitted", view.bearings_admitted},
                     {"bearings_refused", view.bearings_refused},
                     {"agent_version", view.agent_version}};
  return {{"type", "Feature"},
          {"id", s.name},
          {"geometry", {{"type", "Point"}, {"coordinates", position_json(s.position)}}},
          {"properties", std::move(properties)}};
}

json evidence_json(const AlertEvidence& e, const StationNames& names) {
  json stations = json::array();
  for (const StationId id : e.stations) stations.push_back(names.name(id));
  return {{"stations", std::move(stations)},
          {"posterior", e.posterior ? number(*e.posterior, 3) : json(nullptr)},
          {"would_change", e.would_change}};
}

}  // namespace

json emitter_json(const EmitterView& view, const StationNames& names) {
  return {{"type", "Feature"},
          {"id", emitter_id(view.emitter.key)},
          {"geometry", region_json(view.emitter.fix)},
          {"properties", emitter_properties(view, names)}};
}

json emitter_detail_json(const EmitterView& view, std::span<const FixView> fixes,
                         const StationNames& names) {
  json list = json::array();
  for (const FixView& fix : fixes) list.push_back(fix_json(fix, names));
  return {{"emitter", emitter_json(view, names)}, {"fixes", std::move(list)}};
}

json stations_json(std::span<const StationView> stations) {
  json features = json::array();
  for (const StationView& s : stations) features.push_back(station_feature(s));
  return feature_collection(std::move(features));
}

json alert_json(const AlertView& view, const StationNames& names) {
  const Alert& a = view.alert;
  return {{"id", a.id},
          {"rule", a.rule},
          {"severity", to_string(a.severity)},
          {"raised_at", format_rfc3339(a.raised_at)},
          {"emitter", a.emitter ? json(emitter_id(*a.emitter)) : json(nullptr)},
          {"station", a.station ? json(names.name(*a.station)) : json(nullptr)},
          {"message", a.message},
          {"acknowledged_at", time_or_null(view.acknowledged_at)},
          {"ended_at", time_or_null(a.ended_at)},
          {"muted", a.muted},
          {"evidence", evidence_json(a.evidence, names)}};
}

json bearing_json(const Bearing& b, const StationNames& names) {
  return {{"station", names.name(b.key.station)},
          {"stream", std::to_string(b.key.stream)},
          {"sequence", std::to_string(b.key.sequence)},
          {"channel", b.channel},
          {"start", format_rfc3339(b.start)},
          {"frequency_hz", number(b.frequency_hz, 1)},
          {"azimuth_deg", number(b.azimuth_deg, 2)},
          {"sigma_deg", number(b.sigma_deg, 2)},
          {"snr_db", or_null(b.snr_db)}};
}

json feature_collection(json features) {
  return {{"type", "FeatureCollection"}, {"features", std::move(features)}};
}

std::string json_text(const json& value) {
  return value.dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace fixwright::web
