#include "server/report/geojson.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "server/base/time.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/report/antimeridian.hpp"
#include "server/report/csv.hpp"

namespace fixwright::report {

namespace {

/// Members in the order written: people read these files too.
using Json = nlohmann::ordered_json;

constexpr int kRingPoints = 72;

/// To so many parts of a unit. Divided at the end: 0.3 must not become 0.30000000000000004.
double rounded(double value, double parts) { return std::round(value * parts) / parts; }

/// 7 digits, 1 cm.
double degrees(double deg) { return rounded(deg, 1e7); }

Json coordinates(const LonLatRing& ring) {
  Json list = Json::array();
  for (const LonLat& p : ring) {
    list.push_back({degrees(p.longitude_deg), degrees(p.latitude_deg)});
  }
  return list;
}

Json point(GeoPoint p) {
  return {{"type", "Point"}, {"coordinates", {degrees(p.longitude_deg), degrees(p.latitude_deg)}}};
}

/// A Polygon; a MultiPolygon where the antimeridian cuts it; null where nothing is left of it.
Json area(const std::vector<GeoPoint>& ring) {
  const auto parts = cut_at_antimeridian(ring);
  if (parts.empty()) return nullptr;
  if (parts.size() == 1) {
    return {{"type", "Polygon"}, {"coordinates", Json::array({coordinates(parts[0])})}};
  }
  Json list = Json::array();
  for (const auto& part : parts) list.push_back(Json::array({coordinates(part)}));
  return {{"type", "MultiPolygon"}, {"coordinates", list}};
}

Json feature(const std::string& id, const char* part, Json geometry, Json properties) {
  properties["part"] = part;
  return {{"type", "Feature"},
          {"id", id + "/" + part},
          {"geometry", std::move(geometry)},
          {"properties", std::move(properties)}};
}

void describe_region(Json& to, const CrossFix& fix) {
  to["semi_major_m"] = rounded(fix.ellipse.semi_major_m, 1e3);
  to["semi_minor_m"] = rounded(fix.ellipse.semi_minor_m, 1e3);
  to["orientation_deg"] = rounded(fix.ellipse.orientation_deg, 100.0);
  to["probability"] = fix.ellipse.probability;
  to["region_kind"] = to_string(fix.region_kind);
  to["region_open"] = fix.region_open;
  to["chi_square"] = rounded(fix.chi_square, 1e4);
  to["degrees_of_freedom"] = fix.degrees_of_freedom;
  to["grade"] = to_string(fix.grade);
}

/// The position and the region of an accepted fix; the reason of a refused one.
void add_features(Json& features, const std::string& id, const CrossFix& fix, Json properties) {
  if (!fix.accepted()) {
    properties["refusal"] = to_string(fix.refusal);
    features.push_back(feature(id, "position", nullptr, std::move(properties)));
    return;
  }
  describe_region(properties, fix);
  features.push_back(feature(id, "position", point(fix.position), properties));
  features.push_back(feature(id, "region", area(region_ring(fix)), std::move(properties)));
}

Json properties_of(const Fix& fix) {
  std::size_t used = 0;
  for (const FixBearing& b : fix.bearings) used += b.used ? 1 : 0;
  Json p{{"fix", fix_text(fix.key)},
         {"revision", fix.revision},
         {"state", to_string(fix.state)},
         {"time", format_rfc3339(fix.valid_at)},
         {"frequency_hz", fix.frequency_hz},
         {"stations", fix.stations},
         {"bearings_used", used},
         {"bearings_rejected", fix.bearings.size() - used}};
  if (fix.emitter) p["emitter"] = emitter_text(*fix.emitter);
  return p;
}

void describe_match(Json& to, const RegisterMatch& match) {
  to["register"] = to_string(match.verdict);
  to["register_probability"] = rounded(match.posterior, 1e6);
  if (match.licence) to["licence"] = *match.licence;
  if (match.distance_m) to["licence_distance_m"] = rounded(*match.distance_m, 10.0);
  if (match.frequency_offset_hz) {
    to["licence_frequency_offset_hz"] = rounded(*match.frequency_offset_hz, 10.0);
  }
  if (!match.evidence.empty()) to["register_evidence"] = match.evidence;
}

Json properties_of(const EmitterView& view) {
  const Emitter& e = view.emitter;
  Json p{{"emitter", emitter_text(e.key)},
         {"revision", e.revision},
         {"state", to_string(e.state)},
         {"motion", to_string(e.motion)},
         {"frequency_hz", e.frequency_hz},
         {"time", format_rfc3339(e.valid_at)},
         {"first_heard", format_rfc3339(e.first_heard)},
         {"last_heard", format_rfc3339(e.last_heard)},
         {"bearings", e.bearings},
         {"stations", e.stations}};
  if (view.name) p["name"] = *view.name;
  if (view.match) describe_match(p, *view.match);
  if (e.velocity) {
    p["speed_m_per_s"] = rounded(e.velocity->speed_m_per_s, 100.0);
    p["speed_sigma_m_per_s"] = rounded(e.velocity->speed_sigma_m_per_s, 100.0);
    p["course_deg"] = rounded(e.velocity->course_deg, 10.0);
  }
  return p;
}

/// One feature a line, so that large files can be compared and cut by line tools.
std::string collection(const Json& features) {
  std::string text = R"({"type":"FeatureCollection","note":"A region is evidence of a place, )"
                     R"(never proof of who transmits.","features":[)";
  for (std::size_t i = 0; i < features.size(); ++i) {
    text += i == 0 ? "\n" : ",\n";
    text += features[i].dump(-1, ' ', false, Json::error_handler_t::replace);
  }
  return text + "\n]}\n";
}

}  // namespace

std::vector<GeoPoint> region_ring(const CrossFix& fix) {
  if (!fix.region.empty()) return fix.region;
  return geodesy::ellipse_ring(fix.position, fix.ellipse, kRingPoints);
}

std::string fixes_geojson(std::span<const Fix> fixes) {
  Json features = Json::array();
  for (const Fix& f : fixes) {
    add_features(features, fix_text(f.key), f.solution, properties_of(f));
  }
  return collection(features);
}

std::string emitters_geojson(std::span<const EmitterView> emitters) {
  Json features = Json::array();
  for (const EmitterView& v : emitters) {
    add_features(features, emitter_text(v.emitter.key), v.emitter.fix, properties_of(v));
  }
  return collection(features);
}

}  // namespace fixwright::report
