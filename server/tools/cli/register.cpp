#include "server/tools/cli/commands.hpp"
#include "server/tools/register_command.hpp"

namespace fixwright::tools::cli {

void add_register(CLI::App& app, Run& run) {
  auto options = std::make_shared<RegisterImportOptions>();
  CLI::App* group = app.add_subcommand("register", "The register of licensed transmitters");
  group->require_subcommand(1);
  CLI::App* command = group->add_subcommand(
      "import",
      "Replaces the register by a CSV file: id, latitude, longitude, frequency_hz; and "
      "if there are any, holder, service, position_sigma_m, bandwidth_hz, valid_from, "
      "valid_until");
  add_input(*command, options->input);
  command->add_option("--database", options->database,
                      "As libpq takes it: \"host=/run/fixwright dbname=fixwright "
                      "user=fixwright_writer\"");
  command
      ->add_option("--position-sigma", options->rules.position_sigma_m,
                   "Metres: accuracy of a position whose row doesn't state it")
      ->check(CLI::Range(0.0, 1e5))
      ->capture_default_str();
  command->add_flag("--dry-run", options->dry_run, "Read and report, write nothing");
  command->add_flag("--skip-refused", options->skip_refused,
                    "Import the other rows when some are refused");
  run_when_chosen(*command, run, options, run_register_import);
}

}  // namespace fixwright::tools::cli
