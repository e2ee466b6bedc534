#include "server/tools/alert_command.hpp"
#include "server/tools/alert_settings_command.hpp"
#include "server/tools/alert_try.hpp"
#include "server/tools/cli/commands.hpp"
#include "server/tools/emitter_command.hpp"

namespace fixwright::tools::cli {

namespace {

constexpr auto kBy = "Who says so";

void add_list(CLI::App& group, Run& run) {
  const auto options = std::make_shared<AlertListOptions>();
  CLI::App* command =
      group.add_subcommand("list", "Alerts that nobody acknowledged, the newest first");
  add_database(*command, options->database);
  command->add_option("--since", options->since, "RFC 3339: raised then or later");
  command->add_flag("--all", options->all, "Acknowledged ones too");
  run_when_chosen(*command, run, options, run_alert_list);
}

void add_show(CLI::App& group, Run& run) {
  const auto options = std::make_shared<AlertNameOptions>();
  CLI::App* command = group.add_subcommand("show", "One alert with its evidence");
  add_database(*command, options->database);
  command->add_option("alert", options->id, "As `fixwright alert list` names it")->required();
  run_when_chosen(*command, run, options, run_alert_show);
}

void add_ack(CLI::App& group, Run& run) {
  const auto options = std::make_shared<AlertNameOptions>();
  options->by = account_name();
  CLI::App* command = group.add_subcommand("ack", "Acknowledges an alert: somebody sees to it");
  add_database(*command, options->database);
  command->add_option("alert", options->id, "As `fixwright alert list` names it")->required();
  command->add_option("--by", options->by, kBy)->capture_default_str();
  run_when_chosen(*command, run, options, run_alert_acknowledge);
}

void add_mute(CLI::App& group, Run& run) {
  const auto options = std::make_shared<AlertMuteOptions>();
  options->by = account_name();
  CLI::App* command = group.add_subcommand(
      "mute", "Nobody is told of such alerts for a while; they are kept all the same");
  add_database(*command, options->database);
  command->add_option("--rule", options->rule, "Which rule's; none: any");
  command->add_option("--emitter", options->emitter, "CHANNEL/ID; none: any");
  command->add_option("--station", options->station, "Its name; none: any");
  command->add_option("--hours", options->hours, "From now")
      ->check(CLI::Range(0.01, 8784.0))
      ->required();
  command->add_option("--note", options->note, "Why");
  command->add_option("--by", options->by, kBy)->capture_default_str();
  run_when_chosen(*command, run, options, run_alert_mute);
}

void add_unmute(CLI::App& group, Run& run) {
  const auto options = std::make_shared<AlertUnmuteOptions>();
  options->by = account_name();
  CLI::App* command = group.add_subcommand("unmute", "Ends a mute before its time");
  add_database(*command, options->database);
  command->add_option("number", options->id, "As `fixwright alert settings` names it")->required();
  command->add_option("--by", options->by, kBy)->capture_default_str();
  run_when_chosen(*command, run, options, run_alert_unmute);
}

void add_settings(CLI::App& group, Run& run) {
  const auto options = std::make_shared<AlertSettingsOptions>();
  CLI::App* command =
      group.add_subcommand("settings", "Rules that people set, watched areas and mutes in force");
  add_database(*command, options->database);
  run_when_chosen(*command, run, options, run_alert_settings);
}

void add_rule(CLI::App& group, Run& run) {
  CLI::App* rule = group.add_subcommand("rule", "Rules over those of the server's configuration");
  rule->require_subcommand(1);
  const auto options = std::make_shared<AlertRuleOptions>();
  options->by = account_name();
  CLI::App* set = rule->add_subcommand("set", "Sets a rule while the server runs");
  add_database(*set, options->database);
  set->add_option("rule", options->rule, "new_unregistered_emitter, station_silent, ...")
      ->required();
  set->add_option("--enabled", options->enabled, "false: nothing is raised")->capture_default_str();
  set->add_option("--severity", options->severity, "notice, warning or urgent")
      ->capture_default_str();
  set->add_option("--hold-down", options->hold_down_s,
                  "Seconds: an event that recurs within it is the same event")
      ->check(CLI::Range(0.0, 86'400.0))
      ->capture_default_str();
  set->add_option("--by", options->by, kBy)->capture_default_str();
  run_when_chosen(*set, run, options, run_alert_rule);
  const auto cleared = std::make_shared<AlertRuleOptions>();
  cleared->clear = true;
  CLI::App* clear = rule->add_subcommand("clear", "The configured rule holds again");
  add_database(*clear, cleared->database);
  clear->add_option("rule", cleared->rule, "As above")->required();
  run_when_chosen(*clear, run, cleared, run_alert_rule);
}

void add_area_shape(CLI::App& command, AlertAreaOptions& options) {
  command.add_option("--at", options.at, "Latitude and longitude of its centre, degrees")
      ->expected(2)
      ->required();
  command.add_option("--radius", options.radius_km, "km")
      ->check(CLI::Range(0.001, 1000.0))
      ->capture_default_str();
  command.add_option("--days", options.days, "mon,tue,... on which its hours begin; none: daily")
      ->delimiter(',');
  command.add_option("--from", options.from, "Its hours, HH:MM, UTC")->capture_default_str();
  command.add_option("--to", options.to, "HH:MM, UTC; not after --from: of the next day")
      ->capture_default_str();
  command.add_option("--low", options.low_mhz, "MHz: emitters from there")->capture_default_str();
  command.add_option("--high", options.high_mhz, "MHz: and below it")->capture_default_str();
}

void add_area(CLI::App& group, Run& run) {
  CLI::App* area =
      group.add_subcommand("area", "Areas and hours in which any emitter is worth an alert");
  area->require_subcommand(1);
  const auto options = std::make_shared<AlertAreaOptions>();
  options->by = account_name();
  CLI::App* add = area->add_subcommand("add", "Watches an area, or gives one another shape");
  add_database(*add, options->database);
  add->add_option("name", options->name, "Its name")->required();
  add_area_shape(*add, *options);
  add->add_option("--by", options->by, kBy)->capture_default_str();
  run_when_chosen(*add, run, options, run_alert_area);
  const auto removed = std::make_shared<AlertAreaOptions>();
  removed->remove = true;
  CLI::App* remove = area->add_subcommand("remove", "Watches it no longer");
  add_database(*remove, removed->database);
  remove->add_option("name", removed->name, "Its name")->required();
  run_when_chosen(*remove, run, removed, run_alert_area);
}

void add_try(CLI::App& group, Run& run) {
  const auto options = std::make_shared<AlertTryOptions>();
  CLI::App* command = group.add_subcommand(
      "try", "Plays stored bearings through the rules and says what would have been raised");
  add_database(*command, options->database);
  command->add_option("--config", options->config, "The server's configuration")->required();
  command->add_option("--since", options->since, "RFC 3339: bearings from then on")->required();
  command->add_option("--until", options->until, "RFC 3339: and before this; none: up to now");
  run_when_chosen(*command, run, options, run_alert_try);
}

}  // namespace

void add_alert(CLI::App& app, Run& run) {
  CLI::App* group =
      app.add_subcommand("alert", "What a person should know: evidence, never an accusation");
  group->require_subcommand(1);
  add_list(*group, run);
  add_show(*group, run);
  add_ack(*group, run);
  add_mute(*group, run);
  add_unmute(*group, run);
  add_settings(*group, run);
  add_rule(*group, run);
  add_area(*group, run);
  add_try(*group, run);
}

}  // namespace fixwright::tools::cli
