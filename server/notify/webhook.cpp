#include "server/notify/webhook.hpp"

#include <fmt/core.h>

#include <nlohmann/json.hpp>

#include "server/base/text.hpp"
#include "server/notify/curl.hpp"
#include "server/notify/signature.hpp"

namespace fixwright::notify {

namespace {

using nlohmann::json;

json evidence_json(const AlertEvidence& e, const Surroundings& around) {
  json stations = json::array();
  for (const StationId id : e.stations) stations.push_back(around.station_name(id));
  json out{{"stations", std::move(stations)}, {"would_change", e.would_change}};
  if (e.position) {
    out["latitude_deg"] = e.position->latitude_deg;
    out["longitude_deg"] = e.position->longitude_deg;
    out["caution"] = kCaution;
  }
  if (e.region) {
    out["ellipse"] = {{"semi_major_m", e.region->semi_major_m},
                      {"semi_minor_m", e.region->semi_minor_m},
                      {"orientation_deg", e.region->orientation_deg},
                      {"probability", e.region->probability}};
  }
  if (e.posterior) out["posterior"] = *e.posterior;
  return out;
}

json alert_json(const Alert& a, const Surroundings& around) {
  json out{{"id", a.id},
           {"rule", a.rule},
           {"severity", to_string(a.severity)},
           {"raised_at", format_rfc3339(a.raised_at)},
           {"message", a.message},
           {"evidence", evidence_json(a.evidence, around)}};
  if (a.ended_at) out["ended_at"] = format_rfc3339(*a.ended_at);
  if (a.emitter) out["emitter"] = fmt::format("{}/{}", a.emitter->channel, a.emitter->id);
  if (a.station) out["station"] = around.station_name(*a.station);
  if (const auto link = link_to(a, around.page); !link.empty()) out["link"] = link;
  return out;
}

}  // namespace

std::string webhook_body(const Notification& n, const Surroundings& around) {
  json alerts = json::array();
  for (const Alert& a : n.alerts) alerts.push_back(alert_json(a, around));
  const json body{{"key", n.key},
                  {"occasion", n.escalated ? "escalated" : "raised"},
                  {"alerts", std::move(alerts)}};
  return body.dump(-1, ' ', false, json::error_handler_t::replace);
}

std::optional<std::string> send_webhook(const WebhookRoute& route, const Notification& n,
                                        const Surroundings& around) {
  const std::string body = webhook_body(n, around);
  const auto seconds = std::chrono::floor<std::chrono::seconds>(n.at).time_since_epoch().count();
  Transfer transfer(route.url);
  transfer.add_header("Content-Type: application/json");
  transfer.add_header("Idempotency-Key: " + one_line(n.key));
  transfer.add_header(fmt::format("Fixwright-Signature: t={},v1={}", seconds,
                                  hmac_sha256(route.secret, fmt::format("{}.{}", seconds, body))));
  transfer.add_header("Expect:");  // no 100-continue: the body is small
  curl_easy_setopt(transfer.handle(), CURLOPT_PROTOCOLS_STR, "http,https");
  curl_easy_setopt(transfer.handle(), CURLOPT_POSTFIELDS, body.c_str());
  curl_easy_setopt(transfer.handle(), CURLOPT_POSTFIELDSIZE, static_cast<long>(body.size()));
  const Answer answer = transfer.run();
  if (answer.error) return fmt::format("{}: {}", route.url, *answer.error);
  if (answer.status >= 200 && answer.status < 300) return std::nullopt;
  return fmt::format("{}: answered with status {}", route.url, answer.status);
}

}  // namespace fixwright::notify
