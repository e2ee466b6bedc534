#include "server/tools/cli/commands.hpp"
#include "server/tools/emitter_command.hpp"
#include "server/tools/register_command.hpp"
#include "server/tools/register_views.hpp"

namespace fixwright::tools::cli {

namespace {

void add_import(CLI::App& group, Run& run) {
  auto options = std::make_shared<RegisterImportOptions>();
  CLI::App* command = group.add_subcommand(
      "import",
      "Takes over a CSV file: what is new, what changed, what ended. Our own columns: id, "
      "latitude, "
      "longitude, frequency_hz; and if there are any, holder, service, position_sigma_m, "
      "bandwidth_hz, valid_from, valid_until, power_w, emission");
  add_input(*command, options->input);
  add_database(*command, options->database);
  command->add_option("--mapping", options->mapping,
                      "TOML: how the file says it, see deploy/config/register_mapping.toml");
  command
      ->add_option("--position-sigma", options->position_sigma_m,
                   "Metres: accuracy of a position whose row doesn't state it; default 100, or "
                   "the mapping's")
      ->check(CLI::Range(0.0, 1e5));
  command->add_flag("--dry-run", options->dry_run,
                    "Read and report: counts, samples, every refused row; write nothing");
  command->add_flag("--skip-refused", options->skip_refused,
                    "Import the other rows when some are refused; their entries stay as they are");
  command->add_flag("--end-many", options->end_many,
                    "The file is whole, though it ends a fifth of the register or more");
  run_when_chosen(*command, run, options, run_register_import);
}

void add_list(CLI::App& group, Run& run) {
  auto options = std::make_shared<RegisterListOptions>();
  CLI::App* command = group.add_subcommand("list", "Entries of the register");
  add_database(*command, options->database);
  command->add_option("--text", options->text, "In the id, holder or service");
  command->add_option("--frequency", options->frequency_mhz,
                      "MHz: in the band or 25 kHz beside it");
  command->add_option("--limit", options->limit, "Rows at most")
      ->check(CLI::Range(1, 1'000'000))
      ->capture_default_str();
  run_when_chosen(*command, run, options, run_register_list);
}

void add_entry(CLI::App& group, Run& run, const char* name, const char* meaning,
               int (*work)(const RegisterEntryOptions&, std::ostream&, std::ostream&)) {
  auto options = std::make_shared<RegisterEntryOptions>();
  CLI::App* command = group.add_subcommand(name, meaning);
  add_database(*command, options->database);
  command->add_option("id", options->id, "As in the register")->required();
  run_when_chosen(*command, run, options, work);
}

void add_imports(CLI::App& group, Run& run) {
  auto options = std::make_shared<RegisterEntryOptions>();
  CLI::App* command = group.add_subcommand("imports", "What each import changed, newest first");
  add_database(*command, options->database);
  run_when_chosen(*command, run, options, run_register_imports);
}

void add_decide(CLI::App& group, Run& run) {
  auto options = std::make_shared<RegisterDecideOptions>();
  options->wish.by = account_name();
  CLI::App* command = group.add_subcommand(
      "decide",
      "Says otherwise than the register about an emitter, with the reason. It accuses "
      "nobody: a register may be incomplete");
  add_database(*command, options->database);
  command->add_option("emitter", options->emitter, "CHANNEL/ID, as `fixwright emitters` names it")
      ->required();
  command
      ->add_option("verdict", options->verdict,
                   "registered, unregistered, position_disagrees, off_frequency, out_of_validity, "
                   "undecided; or register: as the register says")
      ->required();
  command->add_option("--licence", options->wish.licence, "The entry it is");
  command->add_option("--note", options->wish.note, "Why")->required();
  command->add_option("--by", options->wish.by, "Who decides")->capture_default_str();
  run_when_chosen(*command, run, options, run_register_decide);
}

}  // namespace

void add_register(CLI::App& app, Run& run) {
  CLI::App* group = app.add_subcommand("register", "The register of licensed transmitters");
  group->require_subcommand(1);
  add_import(*group, run);
  add_list(*group, run);
  add_entry(*group, run, "show", "An entry as it stands, or last stood", run_register_show);
  add_entry(*group, run, "history", "What became of an entry, import by import",
            run_register_history);
  add_imports(*group, run);
  add_decide(*group, run);
}

}  // namespace fixwright::tools::cli
