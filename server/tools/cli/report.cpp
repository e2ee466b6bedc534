#include "server/tools/cli/commands.hpp"
#include "server/tools/emitter_command.hpp"
#include "server/tools/report_command.hpp"

namespace fixwright::tools::cli {

void add_report(CLI::App& app, Run& run) {
  auto options = std::make_shared<ReportOptions>();
  options->by = account_name();
  CLI::App* command = app.add_subcommand(
      "report", "Writes what is known of an emitter as an HTML file that can be checked");
  command->add_option("emitter", options->emitter, "CHANNEL/ID, as `emitters` has it");
  command->add_option("--verify", options->verify,
                      "A report: says which of its bearings the database has otherwise");
  command->add_option("--output", options->output, "The file; without it, to the terminal");
  command->add_option("--question", options->question, "What somebody wants to know");
  command->add_option("--since", options->since, "RFC 3339 [7 days before --until]");
  command->add_option("--until", options->until, "RFC 3339 [now]");
  command->add_option("--by", options->by, "Who writes it")->capture_default_str();
  command->add_option("--database", options->database, "As libpq takes it")->capture_default_str();
  run_when_chosen(*command, run, options, run_report);
}

}  // namespace fixwright::tools::cli
