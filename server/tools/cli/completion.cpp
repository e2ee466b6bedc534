#include "server/tools/cli/completion.hpp"

#include "server/tools/cli/commands.hpp"
#include "server/tools/cli/examples.hpp"

namespace fixwright::tools::cli {

namespace {

constexpr auto kOffer = R"(
_fixwright() {
  local path=${COMP_WORDS[0]##*/} i
  for ((i = 1; i < COMP_CWORD; i++)); do
    [[ -v _fixwright_words["$path ${COMP_WORDS[i]}"] ]] && path+=" ${COMP_WORDS[i]}"
  done
  mapfile -t COMPREPLY < <(compgen -W "${_fixwright_words[$path]}" -- "${COMP_WORDS[COMP_CWORD]}")
}
)";

/// One entry for a command, then those of the commands below it.
void add_words(const CLI::App& app, const std::string& path, std::string& script) {
  std::string words;
  const auto below = app.get_subcommands([](const CLI::App* /*any*/) { return true; });
  for (const CLI::App* command : below) words += " " + command->get_name();
  for (const CLI::Option* option : app.get_options()) {
    for (const std::string& name : option->get_lnames()) words += " --" + name;
  }
  script += "  [\"" + path + "\"]=\"" + (words.empty() ? words : words.substr(1)) + "\"\n";
  for (const CLI::App* command : below)
    add_words(*command, path + " " + command->get_name(), script);
}

}  // namespace

std::string bash_completion(const CLI::App& app, const std::string& program) {
  std::string script = "declare -A _fixwright_words=(\n";
  add_words(app, program, script);
  return script + ")" + kOffer + "complete -o default -F _fixwright " + program + "\n";
}

void add_completion(CLI::App& app, Run& run) {
  CLI::App* command = app.add_subcommand(
      "completion", "Prints what lets bash complete commands and options: source it");
  command->callback([&app, &run] {
    run = [&app] {
      std::cout << bash_completion(app, "fixwright");
      return 0;
    };
  });
}

void add_all(CLI::App& app, Run& run) {
  app.require_subcommand(1);
  add_locate(app, run);
  add_explain(app, run);
  add_replay(app, run);
  add_calibrate(app, run);
  add_calibration(app, run);
  add_register(app, run);
  add_accuracy(app, run);
  add_alert(app, run);
  add_emitter(app, run);
  add_emitters(app, run);
  add_query(app, run);
  add_case(app, run);
  add_report(app, run);
  add_handover(app, run);
  add_export(app, run);
  add_recompute(app, run);
  add_retention(app, run);
  add_completion(app, run);
  add_examples(app);
}

}  // namespace fixwright::tools::cli
