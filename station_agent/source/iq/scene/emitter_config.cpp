#include "station_agent/source/iq/scene/emitter_config.hpp"

namespace fixwright::agent::scene {

namespace {

Modulation modulation_of(const std::string& word) {
  return word == "fm"      ? Modulation::fm
         : word == "fsk"   ? Modulation::fsk
         : word == "noise" ? Modulation::noise
                           : Modulation::carrier;
}

Signal read_signal(const ConfigTable& t) {
  Signal s;
  s.modulation = modulation_of(t.text(
      "modulation",
      {.fallback = "carrier", .required = false, .one_of = {"carrier", "fm", "fsk", "noise"}}));
  s.deviation_hz = t.number("deviation_hz", {.min = 0.0, .max = 1e6});
  s.tone_hz = t.number("tone_hz", {.min = 0.0, .max = 1e6});
  s.symbol_rate_hz = t.number("symbol_rate_hz", {.min = 0.0, .max = 1e6});
  s.levels = static_cast<int>(t.integer("levels", {.min = 2, .max = 4, .fallback = 2}));
  s.bt = t.number("bt", {.min = 0.0, .max = 5.0});
  s.bandwidth_hz = t.number("bandwidth_hz", {.min = 0.0, .max = 1e6});
  const bool fsk = s.modulation == Modulation::fsk;
  if (s.levels == 3) t.complain("levels", "must be 2 or 4");
  if (s.bt > 0.0 && s.bt < 0.2) t.complain("bt", "must be 0, for no filter, or 0.2 to 5");
  if (fsk && s.symbol_rate_hz <= 0.0) t.complain("symbol_rate_hz", "fsk needs one above 0");
  if ((fsk || s.modulation == Modulation::fm) && s.deviation_hz <= 0.0) {
    t.complain("deviation_hz", "fm and fsk need one above 0");
  }
  if (s.modulation == Modulation::noise && s.bandwidth_hz <= 0.0) {
    t.complain("bandwidth_hz", "noise needs one above 0");
  }
  return s;
}

Schedule read_schedule(const ConfigTable& t) {
  const auto duration = [&](std::string_view key) {
    return from_seconds(t.number(key, {.min = 0.0, .max = 86'400.0}));
  };
  const Schedule s{duration("period_s"), duration("on_s"), duration("offset_s")};
  if (s.on > s.period) t.complain("on_s", "must be at most period_s");
  return s;
}

std::vector<Path> read_path(const ConfigTable& t) {
  std::vector<GeoPoint> points;
  for (const ConfigTable& w : t.tables("waypoint")) points.push_back(read_point(w));
  const double speed = t.number("speed_m_per_s", {.min = 0.0, .max = 1000.0});
  const std::string end = t.text(
      "at_end",
      {.fallback = "turn_back", .required = false, .one_of = {"turn_back", "circle", "stop"}});
  if (points.empty()) return {};
  return {Path(std::move(points), speed,
               end == "circle" ? PathEnd::close_circle
               : end == "stop" ? PathEnd::stop
                               : PathEnd::turn_back)};
}

}  // namespace

std::string read_name(const ConfigTable& table, std::set<std::string>& taken) {
  std::string name = table.text("name", {.fallback = "", .required = true, .one_of = {}});
  if (!name.empty() && !taken.insert(name).second) table.complain("name", "is given twice");
  return name;
}

GeoPoint read_point(const ConfigTable& table) {
  return {table.number("latitude_deg", {.min = -90.0, .max = 90.0, .required = true}),
          table.number("longitude_deg", {.min = -180.0, .max = 180.0, .required = true})};
}

SceneEmitter read_emitter(const ConfigTable& table, std::set<std::string>& taken) {
  SceneEmitter e;
  e.name = read_name(table, taken);
  e.frequency_hz = table.number("frequency_hz", {.min = 1.0, .max = 3e11, .required = true});
  e.signal = read_signal(table);
  e.schedule = read_schedule(table);
  e.path = read_path(table);
  const double level = table.number("level_dbfs", {.min = -300.0, .max = 40.0});
  if (table.has("level_dbfs")) e.level_dbfs = level;
  e.eirp_dbw = table.number("eirp_dbw", {.min = -100.0, .max = 100.0});
  const double azimuth = table.number("azimuth_deg", {.min = 0.0, .max = 360.0});
  if (table.has("azimuth_deg")) e.azimuth_deg = azimuth;
  e.elevation_deg = table.number("elevation_deg", {.min = -90.0, .max = 90.0});
  e.common_reference = table.flag("common_reference", false);
  if (e.path.empty() && !(e.level_dbfs && (e.azimuth_deg || e.common_reference))) {
    table.complain("waypoint",
                   "an emitter needs a place, [[emitter.waypoint]], or azimuth_deg and "
                   "level_dbfs");
  }
  return e;
}

}  // namespace fixwright::agent::scene
