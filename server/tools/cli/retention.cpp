#include "server/tools/cli/commands.hpp"
#include "server/tools/retention_command.hpp"

namespace fixwright::tools::cli {

void add_retention(CLI::App& app, Run& run) {
  const auto options = std::make_shared<RetentionOptions>();
  CLI::App* command = app.add_subcommand(
      "retention", "Drops raw bearings of old days; fixes, emitters and sums by the hour stay");
  command->add_option("--database", options->database, "As libpq takes it, as the tables' owner");
  command->add_option("--days", options->days, "Whole days before today that are kept")
      ->check(CLI::Range(2, 36'500))
      ->required();
  command->add_flag("--plan", options->plan, "Says what it would free; drops nothing");
  command
      ->add_option("--archive", options->archive,
                   "A folder: each day as a CSV file, as `replay` reads it, before it goes")
      ->check(CLI::ExistingDirectory);
  run_when_chosen(*command, run, options, run_retention);
}

}  // namespace fixwright::tools::cli
