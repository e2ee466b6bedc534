#include "server/tools/cli/commands.hpp"
#include "server/tools/emitter_command.hpp"
#include "server/tools/handover_command.hpp"

namespace fixwright::tools::cli {

void add_handover(CLI::App& app, Run& run) {
  auto options = std::make_shared<HandoverOptions>();
  options->by = account_name();
  CLI::App* command = app.add_subcommand(
      "handover", "Writes a sheet for the person who goes and looks; cautions come first");
  command->add_option("emitter", options->emitter, "CHANNEL/ID, as `emitters` has it")->required();
  command->add_option("--output", options->output, "The file; without it, to the terminal");
  command->add_option("--basemap", options->basemap,
                      "GeoJSON with roads: lines whose property kind is road");
  command->add_option("--report-to", options->report_to, "Whom to tell what was found");
  command->add_option("--by", options->by, "Who sends")->capture_default_str();
  command->add_option("--database", options->database, "As libpq takes it")->capture_default_str();
  run_when_chosen(*command, run, options, run_handover);
}

}  // namespace fixwright::tools::cli
