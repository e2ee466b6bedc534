#include "station_agent/app/iq_array_config.hpp"

#include <fstream>

#include "station_agent/array/calibration_file.hpp"

namespace fixwright::agent {

namespace {

Duration duration(const ConfigTable& t, std::string_view key, double min_s, double max_s,
                  Duration fallback) {
  return from_seconds(t.number(key, {.min = min_s, .max = max_s, .fallback = seconds(fallback)}));
}

std::optional<array::ArrayGeometry> read_geometry(const ConfigTable& t) {
  array::ArrayGeometry geometry;
  const std::string shape = t.text(
      "shape",
      {.fallback = "stream", .required = false, .one_of = {"stream", "circle", "line", "free"}});
  const auto count = static_cast<int>(t.integer(
      "elements", {.min = array::kMinElements, .max = array::kMaxElements, .fallback = 5}));
  const double radius_m = t.number("radius_m", {.min = 0.001, .max = 100.0, .fallback = 0.5});
  const double first_deg = t.number("first_deg", {.min = -360.0, .max = 360.0});
  const double spacing_m = t.number("spacing_m", {.min = 0.001, .max = 100.0, .fallback = 0.5});
  const NumberRule place{.min = -100.0, .max = 100.0};
  for (const ConfigTable& e : t.tables("element")) {
    geometry.elements.push_back(
        {e.number("x_m", place), e.number("y_m", place), e.number("z_m", place)});
  }
  if (shape == "stream") return std::nullopt;
  if (shape == "circle") geometry = array::circular_array(count, radius_m, first_deg);
  if (shape == "line") geometry = array::linear_array(count, spacing_m);
  const std::string problem = array::geometry_problem(geometry);
  if (!problem.empty()) t.complain("shape", problem);
  return geometry;
}

array::EstimatorRules read_rules(const ConfigTable& t) {
  array::EstimatorRules r;
  const auto rule = [](double fallback) {
    return NumberRule{.min = 0.0, .max = 90.0, .fallback = fallback};
  };
  r.floor_deg = t.number("floor_deg", rule(r.floor_deg));
  r.uncalibrated_floor_deg = t.number("uncalibrated_floor_deg", rule(r.uncalibrated_floor_deg));
  r.manifold_error_deg = t.number("manifold_error_deg", rule(r.manifold_error_deg));
  r.uncalibrated_error_deg = t.number("uncalibrated_error_deg", rule(r.uncalibrated_error_deg));
  r.allow_uncalibrated = t.flag("allow_uncalibrated", r.allow_uncalibrated);
  r.sector_centre_deg =
      t.number("sector_centre_deg", {.min = -360.0, .max = 360.0, .fallback = r.sector_centre_deg});
  r.sector_half_width_deg = t.number(
      "sector_half_width_deg", {.min = 1.0, .max = 180.0, .fallback = r.sector_half_width_deg});
  return r;
}

void read_calibration_file(const std::string& path, int elements, iq::IqSourceConfig& chain,
                           std::vector<std::string>& problems) {
  const auto file = ConfigFile::from_path(path);
  if (!file) return problems.push_back(file.error());
  const auto calibration = array::read_calibration(file->root(), elements);
  for (const std::string& line : file->problems()) problems.push_back(line);
  if (calibration) chain.calibration = *calibration;
}

void read_table_file(const std::string& path, int elements, iq::IqSourceConfig& chain,
                     std::vector<std::string>& problems) {
  std::ifstream in(path);
  if (!in) return problems.push_back(path + ": can't be read: source.iq.array.table_file");
  auto table = array::ManifoldTable::read(in, path, elements);
  if (!table) return problems.push_back(table.error());
  chain.table = std::move(table).value();
}

}  // namespace

void read_iq_array(const ConfigTable& table, bool wanted, iq::IqSourceConfig& chain,
                   std::vector<std::string>& problems) {
  chain.geometry = read_geometry(table);
  const double orientation = table.number("orientation_deg", {.min = -360.0, .max = 360.0});
  if (table.has("orientation_deg") && chain.geometry) {
    chain.geometry->orientation_deg = orientation;
    chain.orientation_deg = orientation;
  }
  chain.from_heading =
      table.text("reference",
                 {.fallback = "true", .required = false, .one_of = {"true", "heading"}}) ==
      "heading";
  chain.estimator = read_rules(table);
  chain.misfit_limit_deg = table.number(
      "misfit_limit_deg", {.min = 3.0, .max = 90.0, .fallback = chain.misfit_limit_deg});
  chain.calibration_max_age = from_seconds(
      86'400.0 * table.number("calibration_max_age_days", {.min = 0.0, .max = 3650.0}));
  const std::string calibration = table.text("calibration_file");
  const std::string correction = table.text("table_file");
  if (!wanted || (calibration.empty() && correction.empty())) return;
  if (!chain.geometry) {
    return table.complain("shape", "a calibration needs the array here: circle, line or free");
  }
  if (!calibration.empty()) {
    read_calibration_file(calibration, chain.geometry->size(), chain, problems);
  }
  if (!correction.empty()) read_table_file(correction, chain.geometry->size(), chain, problems);
}

detect::DetectionRules read_iq_detect(const ConfigTable& t) {
  detect::DetectionRules r;
  r.open_snr_db = t.number("open_snr_db", {.min = -10.0, .max = 40.0, .fallback = r.open_snr_db});
  r.close_snr_db =
      t.number("close_snr_db", {.min = -13.0, .max = 40.0, .fallback = r.close_snr_db});
  if (r.close_snr_db >= r.open_snr_db) t.complain("close_snr_db", "must be below open_snr_db");
  r.hang = duration(t, "hang_s", 0.0, 5.0, r.hang);
  r.shortest = duration(t, "shortest_s", 0.0, 5.0, r.shortest);
  r.integration = duration(t, "integration_s", 0.01, 60.0, r.integration);
  r.step = duration(t, "step_s", 0.001, 0.02, r.step);
  r.floor_interval = duration(t, "floor_interval_s", 0.02, 10.0, r.floor_interval);
  r.occupied_share =
      t.number("occupied_share", {.min = 0.5, .max = 0.9999, .fallback = r.occupied_share});
  r.xdb = t.number("xdb", {.min = 3.0, .max = 60.0, .fallback = r.xdb});
  r.overload_share =
      t.number("overload_share", {.min = 1e-9, .max = 1.0, .fallback = r.overload_share});
  r.dead_db = t.number("dead_db", {.min = 6.0, .max = 60.0, .fallback = r.dead_db});
  r.deaf_db = t.number("deaf_db", {.min = 6.0, .max = 60.0, .fallback = r.deaf_db});
  return r;
}

std::vector<detect::WatchedChannel> read_iq_channels(const ConfigTable& iq_table) {
  std::vector<detect::WatchedChannel> channels;
  for (const ConfigTable& t : iq_table.tables("channel")) {
    channels.push_back({t.number("frequency_hz", {.min = 1.0, .max = 3e11, .required = true}),
                        t.number("bandwidth_hz", {.min = 1.0, .max = 1e8, .fallback = 12'500.0})});
  }
  return channels;
}

}  // namespace fixwright::agent
