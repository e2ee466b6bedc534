#include "server/app/server_config.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "server/app/stage_config.hpp"

namespace fixwright::app {

namespace {

Duration duration(const ConfigTable& table, const char* key, const NumberRule& rule) {
  return from_seconds(table.number(key, rule));
}

log::Level read_log_level(const ConfigTable& table) {
  const std::string level = table.text(
      "level",
      {.fallback = "info", .required = false, .one_of = {"debug", "info", "warn", "error"}});
  if (level == "debug") return log::Level::debug;
  if (level == "warn") return log::Level::warn;
  return level == "error" ? log::Level::error : log::Level::info;
}

store::DatabaseRules read_database(const ConfigTable& table) {
  store::DatabaseRules rules;
  rules.connection = table.text("connection", {.fallback = "", .required = true, .one_of = {}});
  rules.connections =
      static_cast<int>(table.integer("connections", {.min = 2, .max = 64, .fallback = 6}));
  rules.connect_timeout =
      duration(table, "connect_timeout_s", {.min = 2, .max = 60, .fallback = 5});
  return rules;
}

rpc::ServerRules read_rpc(const ConfigTable& table) {
  rpc::ServerRules rules;
  rules.listen_address = table.text("listen", {.fallback = "127.0.0.1:7440"});
  rules.max_message_bytes = static_cast<int>(table.integer(
      "max_message_bytes", {.min = 65'536, .max = 67'108'864, .fallback = 4'194'304}));
  rules.keepalive = duration(table, "keepalive_s", {.min = 1, .max = 3600, .fallback = 20});
  rules.max_connection_age =
      duration(table, "max_connection_age_s", {.min = 0, .max = 2'592'000, .fallback = 86'400});
  return rules;
}

web::HttpRules read_web(const ConfigTable& table) {
  web::HttpRules rules;
  rules.listen_address = table.text("listen_address", {.fallback = "127.0.0.1"});
  rules.port = static_cast<std::uint16_t>(
      table.integer("port", {.min = 0, .max = 65'535, .fallback = 7480}));
  rules.feed_sender = table.text("feed_sender", {.fallback = rules.feed_sender});
  if (!notify::is_address(rules.feed_sender)) {
    table.complain("feed_sender", "must be like alerts@club.example");
  }
  rules.page_folder = table.text("page_folder", {.fallback = "/usr/share/fixwright/page"});
  rules.basemap_file = table.text("basemap_file", {.fallback = ""});
  return rules;
}

IngestConfig read_ingest(const ConfigTable& table) {
  IngestConfig config;
  config.admission.max_ahead_s =
      table.number("max_ahead_s", {.min = 0, .max = 3600, .fallback = 2});
  config.admission.max_age_days =
      table.number("max_age_days", {.min = 0.01, .max = 36'500, .fallback = 400});
  config.limits.max_batch = static_cast<std::uint32_t>(
      table.integer("max_batch", {.min = 1, .max = 10'000, .fallback = 1000}));
  config.limits.max_bearings_per_second = static_cast<std::uint32_t>(
      table.integer("max_bearings_per_second", {.min = 1, .max = 1'000'000, .fallback = 1000}));
  config.limits.max_in_flight = static_cast<std::uint32_t>(
      table.integer("max_in_flight", {.min = 1, .max = 1'000'000, .fallback = 5000}));
  config.heartbeat_interval =
      duration(table, "heartbeat_s", {.min = 0.1, .max = 60, .fallback = 1});
  config.max_position_offset_m =
      table.number("max_position_offset_m", {.min = 1, .max = 1e5, .fallback = 100});
  return config;
}

bool is_station_name(const std::string& name) {
  const auto allowed = [](char c) {
    return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
  };
  return !name.empty() && name.size() <= 32 && std::all_of(name.begin(), name.end(), allowed);
}

Station read_station(const ConfigTable& table) {
  Station station;
  station.name = table.text("name", {.fallback = "", .required = true, .one_of = {}});
  if (!is_station_name(station.name)) {
    table.complain("name", "must be 1 to 32 of the characters A to Z, 0 to 9 and -");
  }
  station.moves =
      table.text("kind",
                 {.fallback = "fixed", .required = false, .one_of = {"fixed", "vehicle"}}) ==
      "vehicle";
  station.position.latitude_deg =
      table.number("latitude_deg", {.min = -90, .max = 90, .fallback = 0, .required = true});
  station.position.longitude_deg =
      table.number("longitude_deg", {.min = -180, .max = 180, .fallback = 0, .required = true});
  station.antenna_height_m =
      table.number("antenna_height_m", {.min = 0, .max = 2000, .fallback = 10});
  station.site_sigma_deg = table.number("site_sigma_deg", {.min = 0, .max = 45, .fallback = 1});
  station.bias_deg = table.number("bias_deg", {.min = -180, .max = 180, .fallback = 0});
  return station;
}

std::vector<Station> read_stations(const ConfigTable& root) {
  std::vector<Station> stations;
  std::set<std::string> names;
  for (const ConfigTable& table : root.tables("station")) {
    stations.push_back(read_station(table));
    if (!names.insert(stations.back().name).second) {
      table.complain("name", "is the name of an earlier station; names are unique");
    }
  }
  return stations;
}

std::vector<Channel> read_channels(const ConfigTable& root) {
  std::vector<Channel> channels;
  for (const ConfigTable& table : root.tables("channel")) {
    Channel channel;
    channel.id = table.integer("id", {.min = 1, .max = 999'999, .fallback = 0, .required = true});
    channel.name = table.text("name");
    channel.frequency_hz =
        table.number("frequency_hz", {.min = 1, .max = 3e11, .fallback = 0, .required = true});
    channel.bandwidth_hz = table.number("bandwidth_hz", {.min = 1, .max = 1e9, .fallback = 12'500});
    channels.push_back(std::move(channel));
  }
  return channels;
}

ServerConfig read_all(const ConfigTable& root) {
  ServerConfig config;
  config.log_level = read_log_level(root.table("log"));
  config.database = read_database(root.table("database"));
  config.rpc = read_rpc(root.table("rpc"));
  config.web = read_web(root.table("web"));
  config.ingest = read_ingest(root.table("ingest"));
  config.pipeline.align = read_align(root.table("align"));
  config.pipeline.locate = read_locate(root.table("locate"));
  config.pipeline.track = read_track(root.table("track"));
  config.register_rules = read_register(root.table("register"));
  config.alert = read_alert(root.table("alert"));
  config.drift = read_drift(root.table("drift"));
  config.acceptance = read_acceptance(root.table("calibration"));
  config.notify = read_notify(root.table("notify"));
  config.disks = read_disks(root.table("alert"));
  config.recover =
      duration(root.table("recover"), "hours", {.min = 0.1, .max = 720, .fallback = 24}) * 3600;
  config.stations = read_stations(root);
  config.channels = read_channels(root);
  config.raster_hz =
      root.table("channels").number("raster_hz", {.min = 1, .max = 1e9, .fallback = 6'250});
  return config;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += (text.empty() ? "" : "\n") + line;
  return text;
}

}  // namespace

Result<ServerConfig> read_server_config(const std::filesystem::path& path) {
  Result<ConfigFile> file = ConfigFile::from_path(path);
  if (!file) return Error{file.error()};
  ServerConfig config = read_all(file->root());
  const std::vector<std::string> problems = file->problems();
  if (!problems.empty()) return Error{joined(problems)};
  return config;
}

}  // namespace fixwright::app
