/// The operator's command. Every subcommand has a file of its own; the command line itself is
/// taken apart here and nowhere else.

#include <CLI/CLI.hpp>
#include <iostream>
#include <map>
#include <string>

#include "server/tools/calibrate_command.hpp"
#include "server/tools/emitters_command.hpp"
#include "server/tools/explain_command.hpp"
#include "server/tools/locate_command.hpp"
#include "server/tools/register_command.hpp"
#include "server/tools/replay_command.hpp"

namespace {

using fixwright::tools::CalibrateOptions;
using fixwright::tools::EmittersOptions;
using fixwright::tools::ExplainOptions;
using fixwright::tools::FixFormat;
using fixwright::tools::LocateOptions;
using fixwright::tools::RegisterImportOptions;
using fixwright::tools::ReplayOptions;

void add_transmission_rules(CLI::App& command, fixwright::tools::TransmissionRules& rules) {
  command
      .add_option("--frequency-tolerance", rules.frequency_tolerance_hz,
                  "Hz: bearings this near in frequency are one transmission")
      ->check(CLI::Range(1e-3, 1e9))
      ->capture_default_str();
  command.add_option("--gap", rules.gap_s, "Seconds: a longer pause ends a transmission")
      ->check(CLI::Range(1e-3, 1e6))
      ->capture_default_str();
}

void add_locate_rules(CLI::App& command, fixwright::locate::LocateRules& rules) {
  command.add_option("--min-crossing", rules.min_crossing_deg, "Degrees: least crossing angle")
      ->check(CLI::Range(1.0, 45.0))
      ->capture_default_str();
  command.add_option("--max-range", rules.max_range_m, "Metres: farthest a station may be")
      ->check(CLI::Range(1e3, 1.9e7))
      ->capture_default_str();
  command
      .add_option("--gross-errors", rules.gross_error_share,
                  "Share of bearings that are reflections or other signals")
      ->check(CLI::Range(0.001, 0.5))
      ->capture_default_str();
  command
      .add_option("--site-sigma", rules.default_site_sigma_deg,
                  "Degrees: part of a sigma that many bearings of a station do not average away")
      ->check(CLI::Range(0.0, 30.0))
      ->capture_default_str();
}

CLI::App* add_locate(CLI::App& app, LocateOptions& options) {
  CLI::App* command = app.add_subcommand("locate", "Bearings of a CSV log in, fixes out");
  command->add_option("input", options.input, "CSV file, or - for standard input")
      ->capture_default_str();
  static const std::map<std::string, FixFormat> kFormats{{"csv", FixFormat::csv},
                                                         {"geojson", FixFormat::geojson}};
  command->add_option("--format", options.format, "csv or geojson")
      ->transform(CLI::CheckedTransformer(kFormats, CLI::ignore_case))
      ->option_text("csv|geojson [csv]");
  command->add_flag("--strict", options.strict, "Exit 1 when a row had to be skipped");
  add_transmission_rules(*command, options.transmissions);
  add_locate_rules(*command, options.rules);
  return command;
}

CLI::App* add_explain(CLI::App& app, ExplainOptions& options) {
  CLI::App* command =
      app.add_subcommand("explain", "How one fix of a CSV log, or of the database, came about");
  command->add_option("input", options.locate.input, "CSV file, or - for standard input")
      ->capture_default_str();
  CLI::Option* database = command->add_option(
      "--database", options.database,
      "Explain a stored fix: as libpq takes it, \"host=/run/fixwright dbname=fixwright "
      "user=fixwright_writer\"");
  command->add_option("--config", options.config, "The server's configuration, for its rules")
      ->needs(database);
  command->add_option(
      "--fix", options.fix,
      "As `locate` names it, or CHANNEL/TRANSMISSION/ORDINAL with the numbers of the "
      "view fix_latest; else the first of the log, the newest of the database");
  command->add_option("--svg", options.svg, "File to draw it into");
  add_transmission_rules(*command, options.locate.transmissions);
  add_locate_rules(*command, options.locate.rules);
  return command;
}

CLI::App* add_replay(CLI::App& app, ReplayOptions& options) {
  CLI::App* command = app.add_subcommand(
      "replay", "Bearings of a CSV log in, in the order they came; emitter states out");
  command->add_option("input", options.input, "CSV file, or - for standard input")
      ->capture_default_str();
  command
      ->add_option("--every", options.every_s,
                   "Seconds of the log between two rows of an emitter that is heard on")
      ->check(CLI::Range(0.0, 1e9))
      ->capture_default_str();
  command
      ->add_option("--lateness", options.rules.align.lateness_s,
                   "Seconds a bearing may stand behind others in the file")
      ->check(CLI::Range(0.0, 1e6))
      ->capture_default_str();
  command->add_flag("--by-time", options.by_time, "Replay in order of time, not of the file");
  command->add_flag("--strict", options.strict,
                    "Exit 1 when a row had to be skipped or came too late");
  add_transmission_rules(*command, options.transmissions);
  add_locate_rules(*command, options.rules.locate);
  return command;
}

CLI::App* add_calibrate(CLI::App& app, CalibrateOptions& options) {
  CLI::App* command = app.add_subcommand(
      "calibrate", "Bearings of a CSV log in, a bias for each station out: proposals only");
  command->add_option("input", options.input, "CSV file, or - for standard input")
      ->capture_default_str();
  command->add_option("--references", options.references,
                      "CSV file of transmitters whose place is known: name, latitude, longitude, "
                      "frequency_hz, position_sigma_m");
  command->add_flag("--joint", options.joint,
                    "From every emitter of the log together, each taken to stand still");
  command
      ->add_option("--site-sigma", options.site_sigma_deg,
                   "Degrees: part of a sigma that many bearings of a station do not average away")
      ->check(CLI::Range(0.01, 30.0))
      ->capture_default_str();
  command->add_option("--prior-sigma", options.prior_sigma_deg, "Degrees: how large biases are")
      ->check(CLI::Range(0.1, 30.0))
      ->capture_default_str();
  add_transmission_rules(*command, options.transmissions);
  return command;
}

CLI::App* add_register_import(CLI::App& app, RegisterImportOptions& options) {
  CLI::App* group = app.add_subcommand("register", "The register of licensed transmitters");
  group->require_subcommand(1);
  CLI::App* command = group->add_subcommand(
      "import",
      "Replaces the register by a CSV file: id, latitude, longitude, frequency_hz; and "
      "if there are any, holder, service, position_sigma_m, bandwidth_hz, valid_from, "
      "valid_until");
  command->add_option("input", options.input, "CSV file, or - for standard input")
      ->capture_default_str();
  command->add_option("--database", options.database,
                      "As libpq takes it: \"host=/run/fixwright dbname=fixwright "
                      "user=fixwright_writer\"");
  command
      ->add_option("--position-sigma", options.rules.position_sigma_m,
                   "Metres: accuracy of a position whose row doesn't state it")
      ->check(CLI::Range(0.0, 1e5))
      ->capture_default_str();
  command->add_flag("--dry-run", options.dry_run, "Read and report, write nothing");
  command->add_flag("--skip-refused", options.skip_refused,
                    "Import the other rows when some are refused");
  return command;
}

CLI::App* add_emitters(CLI::App& app, EmittersOptions& options) {
  CLI::App* command = app.add_subcommand("emitters", "What a running server has located");
  command->add_option("--server", options.server, "host:port of its queries")
      ->capture_default_str();
  command->add_option("--limit", options.limit, "Rows at most, the latest heard first")
      ->check(CLI::Range(1, 1000))
      ->capture_default_str();
  return command;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{
      "Fixwright: cross-fixes from bearings of fixed stations. A fix is evidence of where "
      "a signal came from, never proof of who sent it."};
  app.require_subcommand(1);
  LocateOptions locate;
  const CLI::App* locate_command = add_locate(app, locate);
  ExplainOptions explain;
  const CLI::App* explain_command = add_explain(app, explain);
  ReplayOptions replay;
  const CLI::App* replay_command = add_replay(app, replay);
  CalibrateOptions calibrate;
  const CLI::App* calibrate_command = add_calibrate(app, calibrate);
  RegisterImportOptions register_import;
  const CLI::App* import_command = add_register_import(app, register_import);
  EmittersOptions emitters;
  const CLI::App* emitters_command = add_emitters(app, emitters);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : 2;
  }
  if (locate_command->parsed()) {
    return fixwright::tools::run_locate(locate, std::cout, std::cerr);
  }
  if (explain_command->parsed()) {
    return fixwright::tools::run_explain(explain, std::cout, std::cerr);
  }
  if (replay_command->parsed()) {
    return fixwright::tools::run_replay(replay, std::cout, std::cerr);
  }
  if (calibrate_command->parsed()) {
    return fixwright::tools::run_calibrate(calibrate, std::cout, std::cerr);
  }
  if (import_command->parsed()) {
    return fixwright::tools::run_register_import(register_import, std::cout, std::cerr);
  }
  if (emitters_command->parsed()) {
    return fixwright::tools::run_emitters(emitters, std::cout, std::cerr);
  }
  return 2;
}
