#include "server/tools/case_command.hpp"
#include "server/tools/cli/commands.hpp"
#include "server/tools/emitter_command.hpp"

namespace fixwright::tools::cli {

namespace {

using Options = std::shared_ptr<CaseOptions>;
using Command = int (*)(const CaseOptions&, std::ostream&, std::ostream&);

CLI::App* add_command(CLI::App& group, Run& run, const char* name, const char* meaning,
                      Command does, const Options& options) {
  CLI::App* command = group.add_subcommand(name, meaning);
  options->by = account_name();
  add_database(*command, options->database);
  run_when_chosen(*command, run, options, does);
  return command;
}

void add_by(CLI::App& command, const Options& options) {
  command.add_option("--by", options->by, "Who says so")->capture_default_str();
}

/// Of one case that there is.
CLI::App* add_about(CLI::App& group, Run& run, const char* name, const char* meaning, Command does,
                    const Options& options) {
  CLI::App* command = add_command(group, run, name, meaning, does, options);
  command->add_option("case", options->id, "Its number, as `case list` has it")->required();
  return command;
}

void add_open(CLI::App& group, Run& run) {
  const auto options = std::make_shared<CaseOptions>();
  CLI::App* c = add_command(group, run, "open",
                            "Opens a case, with the emitters that were heard on its frequency and "
                            "within its radius",
                            run_case_open, options);
  c->add_option("question", options->text, "What somebody wants to know")->required();
  c->add_option("--emitter", options->emitter, "CHANNEL/ID that it is about");
  c->add_option("--alert", options->alert, "The alert that it begins with");
  c->add_option("--complaint", options->complaint, "What was heard or disturbed, as it was told");
  c->add_option("--since", options->since, "RFC 3339 [a day before --until]");
  c->add_option("--until", options->until, "RFC 3339 [now]");
  c->add_option("--frequency", options->frequency_mhz, "MHz")->check(CLI::Range(0.001, 300e3));
  c->add_option("--place", options->place, "LATITUDE,LONGITUDE in degrees: where it was noticed");
  c->add_option("--radius", options->radius_km, "km round the place")
      ->check(CLI::Range(0.1, 2000.0))
      ->capture_default_str();
  add_by(*c, options);
}

void add_reading(CLI::App& group, Run& run) {
  add_command(group, run, "list", "All cases, the open ones first", run_case_list,
              std::make_shared<CaseOptions>());
  add_about(group, run, "show", "A case with its emitters and notes", run_case_show,
            std::make_shared<CaseOptions>());
  const auto options = std::make_shared<CaseOptions>();
  CLI::App* report =
      add_about(group, run, "report", "Writes an HTML file that `report --verify` can check",
                run_case_report, options);
  report->add_option("--output", options->output, "The file; without it, to the terminal");
  add_by(*report, options);
}

void add_writing(CLI::App& group, Run& run) {
  const auto adding = std::make_shared<CaseOptions>();
  CLI::App* add = add_about(group, run, "add", "Adds an emitter", run_case_add, adding);
  add->add_option("emitter", adding->emitter, "CHANNEL/ID")->required();
  add->add_option("--note", adding->text, "Why it belongs to it");
  add_by(*add, adding);
  const auto noting = std::make_shared<CaseOptions>();
  CLI::App* note = add_about(group, run, "note", "Notes something", run_case_note, noting);
  note->add_option("text", noting->text, "One line")->required();
  add_by(*note, noting);
  const auto closing = std::make_shared<CaseOptions>();
  CLI::App* close = add_about(group, run, "close", "Closes it for good", run_case_close, closing);
  close->add_option("outcome", closing->text, "What came of it")->required();
  add_by(*close, closing);
}

}  // namespace

void add_case(CLI::App& app, Run& run) {
  CLI::App* group = app.add_subcommand("case", "What somebody investigates");
  group->require_subcommand(1);
  add_open(*group, run);
  add_reading(*group, run);
  add_writing(*group, run);
}

}  // namespace fixwright::tools::cli
