#include "server/tools/cli/commands.hpp"
#include "server/tools/emitters_command.hpp"

namespace fixwright::tools::cli {

void add_emitters(CLI::App& app, Run& run) {
  auto options = std::make_shared<EmittersOptions>();
  CLI::App* command = app.add_subcommand("emitters", "What a running server has located");
  command->add_option("--server", options->server, "host:port of its queries")
      ->capture_default_str();
  command->add_option("--limit", options->limit, "Rows at most, the latest heard first")
      ->check(CLI::Range(1, 1000))
      ->capture_default_str();
  run_when_chosen(*command, run, options, run_emitters);
}

}  // namespace fixwright::tools::cli
