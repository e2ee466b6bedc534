#include "station_agent/source/simulated/scenario_config.hpp"

#include <set>

namespace fixwright::agent {

namespace {

Duration duration(const ConfigTable& t, std::string_view key, double min_s, double max_s,
                  double fallback_s) {
  return from_seconds(t.number(key, {.min = min_s, .max = max_s, .fallback = fallback_s}));
}

GeoPoint read_point(const ConfigTable& t) {
  return {t.number("latitude_deg", {.min = -90.0, .max = 90.0, .required = true}),
          t.number("longitude_deg", {.min = -180.0, .max = 180.0, .required = true})};
}

std::string read_name(const ConfigTable& t, std::set<std::string>& taken) {
  std::string name = t.text("name", {.fallback = "", .required = true, .one_of = {}});
  if (!name.empty() && !taken.insert(name).second) t.complain("name", "is given twice");
  return name;
}

Reflection read_reflection(const ConfigTable& t) {
  Reflection r;
  r.emitter = t.text("emitter");
  r.azimuth_deg = t.number("azimuth_deg", {.min = 0.0, .max = 360.0, .required = true});
  r.ratio = t.number("ratio", {.min = 0.0, .max = 0.99, .required = true});
  r.phase_deg = t.number("phase_deg", {.min = -360.0, .max = 360.0});
  r.phase_rate_deg_per_s = t.number("phase_rate_deg_per_s", {.min = -3600.0, .max = 3600.0});
  return r;
}

SimulatedStation read_station(const ConfigTable& t, std::set<std::string>& names) {
  SimulatedStation s;
  s.name = read_name(t, names);
  s.position = read_point(t);
  s.sigma_deg = t.number("sigma_deg", {.min = 1e-6, .max = 90.0, .fallback = 2.0});
  s.bias_deg = t.number("bias_deg", {.min = -180.0, .max = 180.0});
  s.range_m = 1e3 * t.number("range_km", {.min = 0.001, .max = 20'000.0, .fallback = 100.0});
  s.detection_probability =
      t.number("detection_probability", {.min = 0.0, .max = 1.0, .fallback = 1.0});
  s.gross_error_probability = t.number("gross_error_probability", {.min = 0.0, .max = 1.0});
  s.clutter_per_minute = t.number("clutter_per_minute", {.min = 0.0, .max = 60.0});
  s.noise_floor_dbm = t.number("noise_floor_dbm", {.min = -200.0, .max = 0.0, .fallback = -115.0});
  s.full_scale_dbm = t.number("full_scale_dbm", {.min = -150.0, .max = 60.0, .fallback = -20.0});
  for (const ConfigTable& r : t.tables("reflection")) s.reflections.push_back(read_reflection(r));
  return s;
}

Schedule read_schedule(const ConfigTable& t) {
  Schedule s;
  s.period = duration(t, "period_s", 0.0, 86'400.0, 0.0);
  s.on = duration(t, "on_s", 0.0, 86'400.0, 0.0);
  s.offset = duration(t, "offset_s", 0.0, 86'400.0, 0.0);
  if (s.on > s.period) t.complain("on_s", "must be at most period_s");
  return s;
}

Path read_path(const ConfigTable& t) {
  std::vector<GeoPoint> points;
  for (const ConfigTable& w : t.tables("waypoint")) points.push_back(read_point(w));
  const double speed = t.number("speed_m_per_s", {.min = 0.0, .max = 1000.0});
  const std::string end = t.text(
      "at_end",
      {.fallback = "turn_back", .required = false, .one_of = {"turn_back", "circle", "stop"}});
  if (points.empty()) {
    t.complain("waypoint", "an emitter needs at least one place, [[emitter.waypoint]]");
    points.emplace_back();
  }
  return {std::move(points), speed,
          end == "circle" ? PathEnd::close_circle
          : end == "stop" ? PathEnd::stop
                          : PathEnd::turn_back};
}

SimulatedEmitter read_emitter(const ConfigTable& t, std::set<std::string>& names) {
  SimulatedEmitter e{.name = read_name(t, names),
                     .schedule = read_schedule(t),
                     .only_stations = t.texts("only_stations"),
                     .label = t.text("label"),
                     .path = read_path(t)};
  e.frequency_hz = t.number("frequency_hz", {.min = 1.0, .max = 3e11, .required = true});
  e.frequency_sigma_hz = t.number("frequency_sigma_hz", {.min = 0.0, .max = 1e6});
  e.bandwidth_hz = t.number("bandwidth_hz", {.min = 0.0, .max = 1e9});
  e.eirp_dbw = t.number("eirp_dbw", {.min = -100.0, .max = 100.0});
  e.interval = duration(t, "interval_s", 0.01, 3600.0, 1.0);
  e.integration = duration(t, "integration_s", 0.0, 60.0, 0.2);
  if (e.integration > e.interval) t.complain("integration_s", "must be at most interval_s");
  return e;
}

void read_start(const ConfigTable& root, Scenario& scenario) {
  const std::string text =
      root.text("start", {.fallback = "1970-01-01T00:00:00Z", .required = false, .one_of = {}});
  const auto start = parse_rfc3339(text);
  if (!start) return root.complain("start", "must be RFC 3339, like 2031-05-04T10:15:00Z");
  scenario.start = *start;
}

/// Names that lead nowhere would otherwise silently do nothing.
void check_names(const ConfigTable& root, const Scenario& scenario,
                 const std::set<std::string>& emitter_names) {
  for (const SimulatedEmitter& e : scenario.emitters) {
    for (const std::string& name : e.only_stations) {
      if (scenario.station(name) == nullptr) {
        root.complain("emitter", e.name + ": only_stations names no station of this file: " + name);
      }
    }
  }
  for (const SimulatedStation& s : scenario.stations) {
    for (const Reflection& r : s.reflections) {
      if (!r.emitter.empty() && !emitter_names.contains(r.emitter)) {
        root.complain("station",
                      s.name + ": reflection names no emitter of this file: " + r.emitter);
      }
    }
  }
}

ScenarioFile read_scenario(const ConfigFile& file) {
  ScenarioFile result;
  const ConfigTable root = file.root();
  Scenario& scenario = result.scenario;
  scenario.seed =
      static_cast<std::uint64_t>(root.integer("seed", {.min = 0, .max = INT64_MAX, .fallback = 1}));
  read_start(root, scenario);
  std::set<std::string> station_names;
  std::set<std::string> emitter_names;
  for (const ConfigTable& t : root.tables("station")) {
    scenario.stations.push_back(read_station(t, station_names));
  }
  for (const ConfigTable& t : root.tables("emitter")) {
    scenario.emitters.push_back(read_emitter(t, emitter_names));
  }
  check_names(root, scenario, emitter_names);
  result.problems = file.problems();
  return result;
}

}  // namespace

ScenarioFile load_scenario(const std::filesystem::path& path) {
  const auto file = ConfigFile::from_path(path);
  if (!file) return {{}, {file.error()}};
  return read_scenario(*file);
}

ScenarioFile parse_scenario(std::string_view toml, std::string_view name) {
  const auto file = ConfigFile::from_text(toml, name);
  if (!file) return {{}, {file.error()}};
  return read_scenario(*file);
}

}  // namespace fixwright::agent
