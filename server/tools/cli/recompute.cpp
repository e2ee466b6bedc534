#include "server/tools/cli/commands.hpp"
#include "server/tools/emitter_command.hpp"
#include "server/tools/recompute_command.hpp"

namespace fixwright::tools::cli {

void add_recompute(CLI::App& app, Run& run) {
  const auto options = std::make_shared<RecomputeOptions>();
  options->by = account_name();
  CLI::App* command = app.add_subcommand(
      "recompute",
      "Makes history anew from the stored bearings, with the calibrations that hold now; what was "
      "before is kept. Stop the server first");
  add_database(*command, options->database);
  command->add_option("--config", options->config, "The server's configuration")->required();
  command->add_option("--since", options->since, "RFC 3339: results of transmissions from then on")
      ->required();
  command->add_option("--channel", options->channels, "Only this one; may be given again");
  command->add_flag("--dry-run", options->dry_run, "Says what would come of it; keeps nothing");
  command->add_option("--by", options->by, "Who says so")->capture_default_str();
  command->add_option("--note", options->note, "Why");
  run_when_chosen(*command, run, options, run_recompute);
}

}  // namespace fixwright::tools::cli
