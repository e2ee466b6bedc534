#include "server/tools/cli/commands.hpp"
#include "server/tools/explain_command.hpp"

namespace fixwright::tools::cli {

void add_explain(CLI::App& app, Run& run) {
  auto options = std::make_shared<ExplainOptions>();
  CLI::App* command =
      app.add_subcommand("explain", "How one fix of a CSV log, or of the database, came about");
  add_input(*command, options->locate.input);
  CLI::Option* database = command->add_option(
      "--database", options->database,
      "Explain a stored fix: as libpq takes it, \"host=/run/fixwright dbname=fixwright "
      "user=fixwright_writer\"");
  command->add_option("--config", options->config, "The server's configuration, for its rules")
      ->needs(database);
  command->add_option(
      "--fix", options->fix,
      "As `locate` names it, or CHANNEL/TRANSMISSION/ORDINAL with the numbers of the "
      "view fix_latest; else the first of the log, the newest of the database");
  command->add_option("--svg", options->svg, "File to draw it into");
  add_transmission_rules(*command, options->locate.transmissions);
  add_locate_rules(*command, options->locate.rules);
  run_when_chosen(*command, run, options, run_explain);
}

}  // namespace fixwright::tools::cli
