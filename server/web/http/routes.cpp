#include "server/web/http/routes.hpp"

#include <fmt/core.h>

#include <charconv>
#include <exception>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "server/base/log.hpp"
#include "server/web/http/alert_feed.hpp"
#include "server/web/http/emitter_query.hpp"
#include "server/web/http/ogc_features.hpp"
#include "server/web/http/target.hpp"
#include "server/web/http/view_json.hpp"

namespace fixwright::web {

namespace {

using nlohmann::json;

constexpr std::string_view kJson = "application/json";
constexpr std::string_view kGeoJson = "application/geo+json";
constexpr std::string_view kEmitters = "/api/emitters";
constexpr std::size_t kFixesShown = 20;
constexpr std::size_t kAlertsInFeed = 100;
constexpr std::string_view kReport = "/report/";
constexpr std::string_view kHandover = "/handover/";
constexpr std::string_view kAlert = "/alerts/";
constexpr std::string_view kCap = ".cap";

Answer json_answer(std::string_view type, const json& value) {
  return text_answer(type, json_text(value));
}

Answer emitters(PagePort& port, const Target& target) {
  const auto filter = emitter_filter(target);
  if (!filter) return error_answer(400, filter.error());
  const StationNames names{port.stations()};
  json features = json::array();
  for (const EmitterView& view : port.emitters(*filter)) {
    features.push_back(emitter_json(view, names));
  }
  return json_answer(kGeoJson, feature_collection(std::move(features)));
}

/// "12/1893456000000000000"
std::optional<EmitterKey> parse_key(std::string_view text) {
  EmitterKey key;
  const char* const end = text.data() + text.size();
  const auto channel = std::from_chars(text.data(), end, key.channel);
  if (channel.ec != std::errc{} || channel.ptr == end || *channel.ptr != '/') return std::nullopt;
  const auto id = std::from_chars(channel.ptr + 1, end, key.id);
  if (id.ec != std::errc{} || id.ptr != end) return std::nullopt;
  return key;
}

Answer one_emitter(PagePort& port, std::string_view text) {
  const auto key = parse_key(text);
  if (!key) {
    return error_answer(400,
                        fmt::format("emitter {}: must be CHANNEL/ID, two whole numbers", text));
  }
  const auto view = port.emitter(*key);
  if (!view) return error_answer(404, fmt::format("emitter {}: there is none", text));
  const StationNames names{port.stations()};
  return json_answer(kJson, emitter_detail_json(*view, port.fixes(*key, kFixesShown), names));
}

Answer paper(PagePort& port, Paper kind, std::string_view text) {
  const auto key = parse_key(text);
  if (!key) {
    return error_answer(400,
                        fmt::format("emitter {}: must be CHANNEL/ID, two whole numbers", text));
  }
  auto html = port.paper(kind, *key);
  if (!html) {
    return error_answer(404,
                        fmt::format("emitter {}: there is none, or its place is not known", text));
  }
  Answer answer = text_answer("text/html; charset=utf-8", *std::move(html));
  answer.content = Content::paper;
  return answer;
}

Answer alerts(PagePort& port) {
  const StationNames names{port.stations()};
  json list = json::array();
  for (const AlertView& view : port.open_alerts()) list.push_back(alert_json(view, names));
  return json_answer(kJson, {{"alerts", std::move(list)}});
}

Answer feed(PagePort& port, const std::string& sender) {
  const StationNames names{port.stations()};
  return text_answer(kAtomType, alert_feed(port.recent_alerts(kAlertsInFeed), sender, names));
}

/// "/alerts/ID.cap"
Answer cap(PagePort& port, std::string_view id, const std::string& sender) {
  const StationNames names{port.stations()};
  for (const AlertView& view : port.recent_alerts(kAlertsInFeed)) {
    if (view.alert.id == id) return text_answer(kCapType, cap_document(view.alert, sender, names));
  }
  return error_answer(404, fmt::format("alert {}: not among the newest {}", id, kAlertsInFeed));
}

Answer bearings(PagePort& port, const Target& target) {
  const auto limit = limit_of(target, 100, 1000);
  if (!limit) return error_answer(400, limit.error());
  const StationNames names{port.stations()};
  json list = json::array();
  for (const Bearing& b : port.recent_bearings(*limit)) list.push_back(bearing_json(b, names));
  return json_answer(kJson, {{"bearings", std::move(list)}});
}

Answer ready(PagePort& port) {
  if (port.database_ready()) return text_answer("text/plain; charset=utf-8", "ready\n");
  return error_answer(503, "the database can't be asked");
}

Answer file_answer(const PageFile& file, const Request& request) {
  Answer out;
  out.content_type = file.content_type;
  out.body = file.content;
  out.etag = file.etag;
  out.caching = file.named_by_content ? Caching::forever : Caching::revalidate;
  if (request.if_none_match == file.etag) {
    out.status = 304;
    out.body = std::make_shared<const std::string>();
  }
  return out;
}

}  // namespace

Answer Routes::answer(const Request& request) const {
  try {
    return route(request);
  } catch (const std::exception& away) {
    log::warn("web: {} {}: {}", request.method, request.target, away.what());
    return error_answer(503, "the database can't be asked; try again in some seconds");
  }
}

Answer Routes::route(const Request& request) const {
  if (request.method != "GET" && request.method != "HEAD") {
    return error_answer(405, fmt::format("{}: only GET and HEAD", request.method));
  }
  const auto target = parse_target(request.target);
  if (!target) return error_answer(400, target.error());
  const std::string& path = target->path;
  if (path == kEmitters) return emitters(port_, *target);
  if (path.rfind("/api/emitters/", 0) == 0) {
    return one_emitter(port_, std::string_view(path).substr(kEmitters.size() + 1));
  }
  if (path.starts_with(kReport)) {
    return paper(port_, Paper::report, std::string_view(path).substr(kReport.size()));
  }
  if (path.starts_with(kHandover)) {
    return paper(port_, Paper::handover, std::string_view(path).substr(kHandover.size()));
  }
  if (path == "/api/stations") return json_answer(kGeoJson, stations_json(port_.stations()));
  if (path == "/api/alerts") return alerts(port_);
  if (path == "/alerts.atom") return feed(port_, sender_);
  if (path.starts_with(kAlert) && path.ends_with(kCap)) {
    return cap(
        port_,
        std::string_view(path).substr(kAlert.size(), path.size() - kAlert.size() - kCap.size()),
        sender_);
  }
  if (path == "/api/bearings") return bearings(port_, *target);
  if (path == kOgc || path.starts_with("/ogc/")) return ogc_answer(port_, *target, request.host);
  if (path == "/healthz") return text_answer("text/plain; charset=utf-8", "alive\n");
  if (path == "/readyz") return ready(port_);
  if (path == "/metrics") {
    return text_answer("application/openmetrics-text; version=1.0.0; charset=utf-8",
                       metrics_.openmetrics());
  }
  if (path == "/api/settings") {
    const bool has_basemap = files_.find("/basemap.geojson") != nullptr;
    return json_answer(kJson, {{"basemap", has_basemap ? json("/basemap.geojson") : json()}});
  }
  if (path == "/live") return error_answer(426, "/live speaks WebSocket only");
  if (const PageFile* file = files_.find(path)) return file_answer(*file, request);
  return error_answer(404, fmt::format("{}: there is nothing here", path));
}

}  // namespace fixwright::web
