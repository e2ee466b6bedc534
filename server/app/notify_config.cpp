#include "server/app/notify_config.hpp"

#include <algorithm>
#include <set>
#include <utility>

#include "server/base/minute_of_day.hpp"
#include "server/notify/secret.hpp"

namespace fixwright::app {

namespace {

int read_clock(const ConfigTable& table, std::string_view key) {
  const auto minute =
      parse_minute_of_day(table.text(key, {.fallback = "00:00", .required = false, .one_of = {}}));
  if (!minute) table.complain(key, "must be an hour such as 22:30");
  return minute.value_or(0);
}

std::optional<alert::QuietHours> read_quiet(const ConfigTable& table) {
  const bool given = table.has("quiet_from") || table.has("quiet_to");
  alert::QuietHours quiet{read_clock(table, "quiet_from"), read_clock(table, "quiet_to"), {}};
  quiet.utc_offset =
      from_seconds(3600.0 * table.number("utc_offset_h", {.min = -14, .max = 14, .fallback = 0}));
  return given ? std::optional(quiet) : std::nullopt;
}

std::vector<AlertKind> read_kinds(const ConfigTable& table) {
  std::vector<AlertKind> kinds;
  for (const std::string& word : table.texts("rules")) {
    std::size_t k = 0;
    while (k < kAlertKinds && to_string(static_cast<AlertKind>(k)) != word) ++k;
    if (k == kAlertKinds) {
      table.complain("rules", "must be rules of alerts, such as station_silent");
    } else {
      kinds.push_back(static_cast<AlertKind>(k));
    }
  }
  return kinds;
}

alert::DeliveryRule read_delivery(const ConfigTable& table) {
  alert::DeliveryRule rule;
  rule.destination = table.text("name", {.fallback = "", .required = true, .one_of = {}});
  const std::string least = table.text(
      "least",
      {.fallback = "notice", .required = false, .one_of = {"notice", "warning", "urgent"}});
  rule.least = least == "urgent"    ? AlertSeverity::urgent
               : least == "warning" ? AlertSeverity::warning
                                    : AlertSeverity::notice;
  rule.kinds = read_kinds(table);
  rule.quiet = read_quiet(table);
  rule.gather =
      from_seconds(60.0 * table.number("gather_min", {.min = 0, .max = 1440, .fallback = 0}));
  const double escalate_min =
      table.number("escalate_after_min", {.min = 0, .max = 10'080, .fallback = 0});
  if (escalate_min > 0.0) rule.escalate_after = from_seconds(60.0 * escalate_min);
  return rule;
}

std::string read_secret_of(const ConfigTable& table, std::string_view key, bool required) {
  const std::string path = table.text(key, {.fallback = "", .required = required, .one_of = {}});
  if (path.empty()) return {};
  const auto secret = notify::read_secret(path);
  if (secret) return *secret;
  table.complain(key, secret.error());
  return {};
}

notify::Template read_template(const ConfigTable& table, std::string_view key,
                               std::string_view usual) {
  const auto parsed = notify::Template::parse(
      table.text(key, {.fallback = std::string(usual), .required = false, .one_of = {}}));
  if (parsed) return *parsed;
  table.complain(key, parsed.error());
  return {};
}

std::string read_address(const ConfigTable& table, std::string_view key, const std::string& text) {
  if (!notify::is_address(text)) table.complain(key, "must be like duty@club.example");
  return text;
}

bool begins_with_one_of(std::string_view text, std::initializer_list<std::string_view> schemes) {
  return std::any_of(schemes.begin(), schemes.end(),
                     [&](std::string_view s) { return text.starts_with(s); });
}

notify::MailRoute read_mail(const ConfigTable& table) {
  notify::MailRoute route;
  route.server = table.text("server", {.fallback = "", .required = true, .one_of = {}});
  if (!begins_with_one_of(route.server, {"smtp://", "smtps://"})) {
    table.complain("server", "must begin with smtp:// or smtps://");
  }
  route.starttls = table.flag("starttls", true);
  route.user = table.text("user");
  route.password = read_secret_of(table, "password_file", !route.user.empty());
  route.from = read_address(table, "from",
                            table.text("from", {.fallback = "", .required = true, .one_of = {}}));
  for (const std::string& to : table.texts("to")) {
    route.to.push_back(read_address(table, "to", to));
  }
  if (route.to.empty()) table.complain("to", "must name one address at least");
  route.subject = read_template(table, "subject", notify::kUsualSubject);
  route.text = read_template(table, "text", notify::kUsualText);
  return route;
}

notify::WebhookRoute read_webhook(const ConfigTable& table) {
  notify::WebhookRoute route;
  route.url = table.text("url", {.fallback = "", .required = true, .one_of = {}});
  if (!begins_with_one_of(route.url, {"http://", "https://"})) {
    table.complain("url", "must begin with http:// or https://");
  }
  route.secret = read_secret_of(table, "secret_file", true);
  return route;
}

}  // namespace

NotifyConfig read_notify(const ConfigTable& table) {
  NotifyConfig config;
  config.page = table.text("page");
  std::set<std::string> names;
  for (const ConfigTable& each : table.tables("destination")) {
    DestinationConfig destination;
    destination.rule = read_delivery(each);
    const std::string kind =
        each.text("kind", {.fallback = "", .required = true, .one_of = {"email", "webhook"}});
    if (kind == "webhook") {
      destination.route = read_webhook(each);
    } else {
      destination.route = read_mail(each);
    }
    if (!names.insert(destination.rule.destination).second) {
      each.complain("name", "is another destination's already");
    }
    config.destinations.push_back(std::move(destination));
  }
  return config;
}

}  // namespace fixwright::app
