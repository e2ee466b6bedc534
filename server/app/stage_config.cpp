#include "server/app/stage_config.hpp"

namespace fixwright::app {

namespace {

AlertRule read_rule(const ConfigTable& table, const AlertRule& fallback) {
  AlertRule rule;
  rule.enabled = table.flag("enabled", fallback.enabled);
  const std::string severity =
      table.text("severity", {.fallback = std::string(to_string(fallback.severity)),
                              .required = false,
                              .one_of = {"notice", "warning", "urgent"}});
  rule.severity = severity == "notice"    ? AlertSeverity::notice
                  : severity == "warning" ? AlertSeverity::warning
                                          : AlertSeverity::urgent;
  rule.hold_down = from_seconds(table.number(
      "hold_down_s", {.min = 0, .max = 86'400, .fallback = seconds(fallback.hold_down)}));
  return rule;
}

alert::Reference read_reference(const ConfigTable& table) {
  alert::Reference reference;
  reference.licence = table.text("licence", {.fallback = "", .required = true, .one_of = {}});
  reference.missing_after = from_seconds(table.number(
      "missing_after_s", {.min = 60, .max = 1e7, .fallback = seconds(reference.missing_after)}));
  return reference;
}

}  // namespace

align::AlignRules read_align(const ConfigTable& table) {
  align::AlignRules rules;
  rules.slack_s = table.number("slack_s", {.min = 0, .max = 60, .fallback = rules.slack_s});
  rules.idle_s = table.number("idle_s", {.min = 1, .max = 3600, .fallback = rules.idle_s});
  rules.all_idle_s =
      table.number("all_idle_s", {.min = 1, .max = 3600, .fallback = rules.all_idle_s});
  rules.gap_s = table.number("gap_s", {.min = 0.01, .max = 60, .fallback = rules.gap_s});
  rules.max_length_s =
      table.number("max_length_s", {.min = 0.1, .max = 600, .fallback = rules.max_length_s});
  rules.lateness_s =
      table.number("lateness_s", {.min = 0, .max = 3600, .fallback = rules.lateness_s});
  return rules;
}

locate::LocateRules read_locate(const ConfigTable& table) {
  locate::LocateRules rules;
  rules.min_crossing_deg =
      table.number("min_crossing_deg", {.min = 1, .max = 45, .fallback = rules.min_crossing_deg});
  rules.max_range_m =
      table.number("max_range_m", {.min = 1e3, .max = 1.9e7, .fallback = rules.max_range_m});
  rules.min_rival_gap_nats = table.number(
      "min_rival_gap_nats", {.min = 0, .max = 20, .fallback = rules.min_rival_gap_nats});
  rules.gross_error_share = table.number(
      "gross_error_share", {.min = 0.001, .max = 0.5, .fallback = rules.gross_error_share});
  rules.default_site_sigma_deg = table.number(
      "default_site_sigma_deg", {.min = 0, .max = 30, .fallback = rules.default_site_sigma_deg});
  rules.odd_p_value =
      table.number("odd_p_value", {.min = 0, .max = 0.1, .fallback = rules.odd_p_value});
  rules.accept_open_region = table.flag("accept_open_region", rules.accept_open_region);
  rules.max_emitters = static_cast<int>(
      table.integer("max_emitters", {.min = 1, .max = 4, .fallback = rules.max_emitters}));
  return rules;
}

track::TrackRules read_track(const ConfigTable& table) {
  track::TrackRules rules;
  rules.gate_sigmas =
      table.number("gate_sigmas", {.min = 1, .max = 10, .fallback = rules.gate_sigmas});
  rules.birth_chi_square =
      table.number("birth_chi_square", {.min = 1, .max = 100, .fallback = rules.birth_chi_square});
  rules.birth_span_s =
      table.number("birth_span_s", {.min = 0.1, .max = 600, .fallback = rules.birth_span_s});
  rules.confirm_bearings = static_cast<int>(table.integer(
      "confirm_bearings", {.min = 1, .max = 1000, .fallback = rules.confirm_bearings}));
  rules.confirm_looks = static_cast<int>(
      table.integer("confirm_looks", {.min = 1, .max = 100, .fallback = rules.confirm_looks}));
  rules.confirm_look_share = table.number(
      "confirm_look_share", {.min = 0, .max = 1, .fallback = rules.confirm_look_share});
  rules.line_transmissions = static_cast<int>(table.integer(
      "bearing_only_transmissions", {.min = 1, .max = 1000, .fallback = rules.line_transmissions}));
  rules.silent_s = table.number("silent_s", {.min = 1, .max = 1e7, .fallback = rules.silent_s});
  rules.drop_tentative_s =
      table.number("drop_tentative_s", {.min = 1, .max = 1e7, .fallback = rules.drop_tentative_s});
  rules.retire_s = table.number("retire_s", {.min = 60, .max = 1e9, .fallback = rules.retire_s});
  rules.relocate_s =
      table.number("relocate_s", {.min = 60, .max = 1e9, .fallback = rules.relocate_s});
  rules.moving_log_ratio =
      table.number("moving_log_ratio", {.min = 1, .max = 100, .fallback = rules.moving_log_ratio});
  rules.acceleration_m_per_s2 = table.number(
      "acceleration_m_per_s2", {.min = 0.01, .max = 50, .fallback = rules.acceleration_m_per_s2});
  rules.speed_sigma_m_per_s = table.number(
      "speed_sigma_m_per_s", {.min = 0.1, .max = 500, .fallback = rules.speed_sigma_m_per_s});
  rules.lost_track_sigma_m = table.number(
      "lost_track_sigma_m", {.min = 10, .max = 1e6, .fallback = rules.lost_track_sigma_m});
  rules.merge_chi_square =
      table.number("merge_chi_square", {.min = 0.1, .max = 50, .fallback = rules.merge_chi_square});
  if (rules.retire_s <= rules.silent_s) {
    table.complain("retire_s", "must be more than track.silent_s");
  }
  return rules;
}

register_::RegisterRules read_register(const ConfigTable& table) {
  register_::RegisterRules rules;
  rules.wrong_row_share =
      table.number("wrong_row_share", {.min = 0, .max = 0.5, .fallback = rules.wrong_row_share});
  rules.wrong_row_sigma_m = table.number(
      "wrong_row_sigma_m", {.min = 100, .max = 100'000, .fallback = rules.wrong_row_sigma_m});
  rules.unknown_density_per_km2 =
      table.number("unknown_density_per_km2",
                   {.min = 1e-9, .max = 1, .fallback = rules.unknown_density_per_km2});
  rules.activity = table.number("activity", {.min = 0.001, .max = 1, .fallback = rules.activity});
  rules.frequency_tolerance_hz = table.number(
      "frequency_tolerance_hz", {.min = 0, .max = 1e6, .fallback = rules.frequency_tolerance_hz});
  rules.off_frequency_share = table.number(
      "off_frequency_share", {.min = 0, .max = 0.5, .fallback = rules.off_frequency_share});
  rules.frequency_reach_hz = table.number(
      "frequency_reach_hz", {.min = 0, .max = 1e6, .fallback = rules.frequency_reach_hz});
  rules.out_of_validity_share = table.number(
      "out_of_validity_share", {.min = 0, .max = 0.5, .fallback = rules.out_of_validity_share});
  rules.take_at = table.number("take_at", {.min = 0.5, .max = 0.9999, .fallback = rules.take_at});
  rules.keep_above =
      table.number("keep_above", {.min = 0.5, .max = 0.9999, .fallback = rules.keep_above});
  rules.moved_sigmas =
      table.number("moved_sigmas", {.min = 0.1, .max = 10, .fallback = rules.moved_sigmas});
  rules.area_factor =
      table.number("area_factor", {.min = 1.1, .max = 100, .fallback = rules.area_factor});
  if (rules.keep_above > rules.take_at) {
    table.complain("keep_above", "must not be above register.take_at");
  }
  return rules;
}

alert::AlertRules read_alert(const ConfigTable& table) {
  alert::AlertRules rules;
  for (std::size_t k = 0; k < kAlertKinds; ++k) {
    rules.kinds[k] = read_rule(table.table(to_string(static_cast<AlertKind>(k))), rules.kinds[k]);
  }
  rules.silent_after = from_seconds(table.number(
      "silent_after_s", {.min = 2, .max = 3600, .fallback = seconds(rules.silent_after)}));
  rules.clock_bad_after = from_seconds(table.number(
      "clock_bad_after_s", {.min = 0, .max = 3600, .fallback = seconds(rules.clock_bad_after)}));
  rules.max_clock_error = from_seconds(table.number(
      "max_clock_error_s", {.min = 0.001, .max = 60, .fallback = seconds(rules.max_clock_error)}));
  rules.overloaded_bearings = static_cast<std::uint64_t>(table.integer(
      "overloaded_bearings", {.min = 1,
                              .max = 1'000'000'000,
                              .fallback = static_cast<std::int64_t>(rules.overloaded_bearings)}));
  rules.overloaded_after = from_seconds(
      table.number("overloaded_after_s",
                   {.min = 0, .max = 86'400, .fallback = seconds(rules.overloaded_after)}));
  rules.disk_free_share = table.number(
      "disk_free_share", {.min = 0.001, .max = 0.9, .fallback = rules.disk_free_share});
  rules.database_bytes =
      1e9 *
      table.number("database_gb", {.min = 0, .max = 1e6, .fallback = rules.database_bytes / 1e9});
  rules.database_used_share = table.number(
      "database_used_share", {.min = 0.1, .max = 1, .fallback = rules.database_used_share});
  for (const ConfigTable& reference : table.tables("reference")) {
    rules.references.push_back(read_reference(reference));
  }
  return rules;
}

DriftWatchRules read_drift(const ConfigTable& table) {
  DriftWatchRules rules;
  calibrate::DriftRules& chart = rules.chart;
  rules.interval = from_seconds(
      60.0 * table.number("interval_min",
                          {.min = 1, .max = 1440, .fallback = seconds(rules.interval) / 60.0}));
  rules.window = from_seconds(
      86'400.0 *
      table.number("window_days",
                   {.min = 2, .max = 365, .fallback = seconds(rules.window) / 86'400.0}));
  chart.baseline_hours = static_cast<int>(
      table.integer("baseline_hours", {.min = 6, .max = 1000, .fallback = chart.baseline_hours}));
  chart.min_emitters = static_cast<std::size_t>(table.integer(
      "min_emitters",
      {.min = 2, .max = 100, .fallback = static_cast<std::int64_t>(chart.min_emitters)}));
  chart.hour_sigma_deg =
      table.number("hour_sigma_deg", {.min = 0.05, .max = 10, .fallback = chart.hour_sigma_deg});
  chart.decision_sigmas =
      table.number("decision_sigmas", {.min = 3, .max = 100, .fallback = chart.decision_sigmas});
  return rules;
}

calibrate::AcceptanceRules read_acceptance(const ConfigTable& table) {
  calibrate::AcceptanceRules rules;
  rules.enabled = table.flag("accept_by_rule", rules.enabled);
  rules.joint = table.flag("accept_joint", rules.joint);
  rules.min_bearings = static_cast<std::size_t>(table.integer(
      "min_bearings",
      {.min = 1, .max = 1'000'000'000, .fallback = static_cast<std::int64_t>(rules.min_bearings)}));
  rules.min_transmitters = static_cast<std::size_t>(table.integer(
      "min_transmitters",
      {.min = 1, .max = 1000, .fallback = static_cast<std::int64_t>(rules.min_transmitters)}));
  rules.max_bias_deg =
      table.number("max_bias_deg", {.min = 0, .max = 180, .fallback = rules.max_bias_deg});
  rules.max_bias_sigma_deg = table.number(
      "max_bias_sigma_deg", {.min = 0.001, .max = 10, .fallback = rules.max_bias_sigma_deg});
  return rules;
}

std::vector<std::string> read_disks(const ConfigTable& alert) {
  auto disks = alert.texts("disks");
  if (disks.empty() && !alert.has("disks")) disks = {"/"};
  for (const std::string& path : disks) {
    if (!path.starts_with('/')) alert.complain("disks", "must be paths that begin with /");
  }
  return disks;
}

}  // namespace fixwright::app
