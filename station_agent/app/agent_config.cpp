#include "station_agent/app/agent_config.hpp"

#include <algorithm>

#include "station_agent/app/navigation_config.hpp"
#include "station_agent/source/lines/line_mapping_config.hpp"
#include "station_agent/source/lines/socket.hpp"
#include "station_agent/source/simulated/scenario_config.hpp"

namespace fixwright::agent {

namespace {

Duration duration(const ConfigTable& t, std::string_view key, double min_s, double max_s,
                  double fallback_s) {
  return from_seconds(t.number(key, {.min = min_s, .max = max_s, .fallback = fallback_s}));
}

void read_server(const ConfigTable& t, UplinkConfig& uplink) {
  uplink.server = t.text("address", {.fallback = "", .required = true, .one_of = {}});
  const auto address = parse_address(uplink.server);
  const bool whole = address.ok() && !address->host.empty() && address->port != "0";
  if (!uplink.server.empty() && !whole) {
    t.complain("address", "must be host:port, with a port of 1 to 65535");
  }
}

bool is_station_name(const std::string& name) {
  static constexpr std::string_view kAllowed = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
  return name.size() <= 32 && name.find_first_not_of(kAllowed) == std::string::npos;
}

void read_station(const ConfigTable& t, UplinkConfig& uplink) {
  uplink.station = t.text("name", {.fallback = "", .required = true, .one_of = {}});
  if (!is_station_name(uplink.station)) {
    t.complain("name", "must be 1 to 32 of A-Z, 0-9 and -, as the server's operator registered it");
  }
  const bool latitude = t.has("latitude_deg");
  const bool longitude = t.has("longitude_deg");
  if (latitude != longitude) {
    t.complain(latitude ? "longitude_deg" : "latitude_deg", "give both coordinates or neither");
  }
  StationPosition p;
  p.latitude_deg = t.number("latitude_deg", {.min = -90.0, .max = 90.0});
  p.longitude_deg = t.number("longitude_deg", {.min = -180.0, .max = 180.0});
  if (t.has("height_m")) p.height_m = t.number("height_m", {.min = -500.0, .max = 10'000.0});
  if (t.has("position_sigma_m")) {
    p.position_sigma_m = t.number("position_sigma_m", {.min = 0.0, .max = 100'000.0});
  }
  if (latitude && longitude) uplink.position = p;
}

void read_uplink(const ConfigTable& t, UplinkConfig& uplink) {
  uplink.batch_interval = duration(t, "batch_interval_s", 0.01, 60.0, 0.2);
  uplink.max_batch = static_cast<std::uint32_t>(
      t.integer("max_batch", {.min = 1, .max = 10'000, .fallback = 500}));
  uplink.backoff.base = duration(t, "backoff_min_s", 0.01, 60.0, 0.5);
  uplink.backoff.cap = duration(t, "backoff_max_s", 0.01, 3600.0, 30.0);
  if (uplink.backoff.cap < uplink.backoff.base) {
    t.complain("backoff_max_s", "must be at least uplink.backoff_min_s");
  }
  uplink.refused_retry = duration(t, "refused_retry_s", 0.1, 3600.0, 10.0);
  uplink.welcome_timeout = duration(t, "welcome_timeout_s", 0.1, 600.0, 10.0);
  uplink.watermark_hold = duration(t, "watermark_hold_s", 1.0, 3600.0, 30.0);
  uplink.shutdown = duration(t, "shutdown_s", 0.0, 600.0, 5.0);
  uplink.keepalive = duration(t, "keepalive_s", 1.0, 3600.0, 20.0);
}

void read_spool(const ConfigTable& t, AgentConfig& config) {
  config.spool_path = t.text("path", {.fallback = "", .required = true, .one_of = {}});
  config.spool.max_bearings = static_cast<std::uint64_t>(
      t.integer("max_bearings", {.min = 1, .max = 1'000'000'000, .fallback = 1'000'000}));
  config.spool.max_age = duration(t, "max_age_s", 1.0, 3.2e7, 604'800.0);
}

void read_clock(const ConfigTable& t, AgentConfig& config) {
  const std::string source = t.text(
      "source", {.fallback = "host", .required = false, .one_of = {"host", "kernel", "fixed"}});
  config.clock = source == "host"     ? ClockSource::host
                 : source == "kernel" ? ClockSource::kernel
                                      : ClockSource::fixed;
  const std::string state =
      t.text("state", {.fallback = "synchronised",
                       .required = false,
                       .one_of = {"synchronised", "holdover", "unsynchronised"}});
  config.fixed_clock.state = state == "synchronised" ? ClockState::synchronised
                             : state == "holdover"   ? ClockState::holdover
                                                     : ClockState::unsynchronised;
  config.fixed_clock.error = duration(t, "error_s", 0.0, 3600.0, 0.01);
  config.fixed_clock.reference = ClockReference::fixed;
}

void read_simulated(const ConfigTable& t, AgentConfig& config, std::vector<std::string>& problems) {
  const std::string path = t.text("scenario");
  config.simulated_lasts = duration(t, "lasts_s", 0.0, 3.2e7, 0.0);
  if (config.source != SourceKind::simulated) return;
  if (path.empty()) return t.complain("scenario", "source.kind = \"simulated\" needs a file");
  ScenarioFile file = load_scenario(path);
  problems = std::move(file.problems);
  config.scenario = std::move(file.scenario);
  const SimulatedStation* station = config.scenario.station(config.uplink.station);
  if (station == nullptr && problems.empty()) {
    return t.complain("scenario", "holds no station named " + config.uplink.station);
  }
  if (station != nullptr && !config.uplink.position) {
    config.uplink.position =
        StationPosition{station->position.latitude_deg, station->position.longitude_deg, {}, {}};
  }
}

void read_iq(const ConfigTable& t, AgentConfig& config, std::vector<std::string>& problems) {
  config.iq = read_iq_config(t, config.source == SourceKind::iq, config.uplink.station, problems);
  const scene::SceneStation* station = config.iq.scene.station(config.uplink.station);
  if (station != nullptr && !config.uplink.position) {
    config.uplink.position =
        StationPosition{station->position.latitude_deg, station->position.longitude_deg, {}, {}};
  }
}

SourceKind kind_of(const std::string& word) {
  return word == "simulated" ? SourceKind::simulated
         : word == "iq"      ? SourceKind::iq
                             : SourceKind::lines;
}

void read_source(const ConfigTable& t, AgentConfig& config, std::vector<std::string>& problems) {
  config.source = kind_of(t.text(
      "kind", {.fallback = "lines", .required = false, .one_of = {"lines", "simulated", "iq"}}));
  config.stop_at_end = t.flag("stop_at_end", false);
  config.lines = read_lines_config(t.table("lines"), config.source == SourceKind::lines);
  read_simulated(t.table("simulated"), config, problems);
  read_iq(t.table("iq"), config, problems);
}

void set_capabilities(AgentConfig& config) {
  auto& can = config.uplink.capabilities;
  if (config.source == SourceKind::simulated) {
    can = {Capability::simulated, Capability::level};
    return;
  }
  if (config.source == SourceKind::iq) {
    can = {Capability::alternatives};
    if (config.iq.chain.simulated) can.push_back(Capability::simulated);
    return;
  }
  can = {Capability::lines};
  const LineMapping& m = config.lines.mapping;
  if (m.gives(Field::alternatives)) can.push_back(Capability::alternatives);
  if (m.gives(Field::field_strength)) can.push_back(Capability::level);
}

log::Level read_log_level(const ConfigTable& t) {
  const std::string level =
      t.text("level",
             {.fallback = "info", .required = false, .one_of = {"debug", "info", "warn", "error"}});
  return level == "debug"   ? log::Level::debug
         : level == "warn"  ? log::Level::warn
         : level == "error" ? log::Level::error
                            : log::Level::info;
}

/// What [position] alone can't show to be wrong.
void check_navigation(const ConfigTable& root, AgentConfig& config) {
  const bool fixed = config.navigation.feed == NavFeed::none;
  const bool by_heading = config.source == SourceKind::lines &&
                          config.lines.mapping.azimuth.reference == AzimuthReference::heading;
  if (fixed && by_heading) {
    root.table("source").table("lines").table("azimuth").complain(
        "reference", "needs a heading: set position.source; for a fixed array use \"relative\"");
  }
  if (fixed && config.source == SourceKind::iq && config.iq.chain.from_heading) {
    root.table("source").table("iq").table("array").complain(
        "reference", "needs a heading: set position.source; for a fixed array use \"true\"");
  }
  if (fixed) return;
  if (config.source == SourceKind::simulated) {
    root.table("position").complain("source", "a simulated station stands where its scenario says");
  } else if (config.uplink.position) {
    root.table("station").complain("latitude_deg",
                                   "a station with position.source moves: leave its place out");
  }
  config.uplink.position.reset();
}

AgentConfigFile read_agent_config(const ConfigFile& file) {
  AgentConfigFile result;
  AgentConfig& config = result.config;
  const ConfigTable root = file.root();
  std::vector<std::string> scenario_problems;
  read_server(root.table("server"), config.uplink);
  read_station(root.table("station"), config.uplink);
  read_uplink(root.table("uplink"), config.uplink);
  read_spool(root.table("spool"), config);
  read_clock(root.table("clock"), config);
  config.navigation = read_navigation(root.table("position"));
  read_source(root.table("source"), config, scenario_problems);
  check_navigation(root, config);
  config.log_level = read_log_level(root.table("log"));
  set_capabilities(config);
  // A source that is allowed to be late must not have its bearings called history.
  if (config.source == SourceKind::lines) {
    config.uplink.watermark_hold = std::max(config.uplink.watermark_hold, config.lines.max_delay);
  }
  result.problems = file.problems();
  result.problems.insert(result.problems.end(), scenario_problems.begin(), scenario_problems.end());
  return result;
}

}  // namespace

AgentConfigFile load_agent_config(const std::filesystem::path& path) {
  const auto file = ConfigFile::from_path(path);
  if (!file) return {{}, {file.error()}};
  return read_agent_config(*file);
}

AgentConfigFile parse_agent_config(std::string_view toml, std::string_view name) {
  const auto file = ConfigFile::from_text(toml, name);
  if (!file) return {{}, {file.error()}};
  return read_agent_config(*file);
}

}  // namespace fixwright::agent
