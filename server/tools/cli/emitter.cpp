#include "server/tools/cli/commands.hpp"
#include "server/tools/emitter_command.hpp"

namespace fixwright::tools::cli {

namespace {

using Options = std::shared_ptr<DecideOptions>;

void add_emitter(CLI::App& command, std::string& emitter) {
  command.add_option("emitter", emitter, "CHANNEL/ID, as `fixwright emitters` names it")
      ->required();
}

/// A command that decides; all of them say who, why and where.
CLI::App* add_decision(CLI::App& group, Run& run, DecisionKind kind, const char* meaning,
                       const Options& options) {
  CLI::App* command = group.add_subcommand(std::string(to_string(kind)), meaning);
  options->wish.kind = kind;
  options->wish.by = account_name();
  add_database(*command, options->database);
  command->add_option("--by", options->wish.by, "Who decides")->capture_default_str();
  run_when_chosen(*command, run, options, run_decide);
  return command;
}

CLI::App* add_about_emitter(CLI::App& group, Run& run, DecisionKind kind, const char* meaning,
                            const Options& options) {
  CLI::App* command = add_decision(group, run, kind, meaning, options);
  add_emitter(*command, options->emitter);
  return command;
}

void add_why(CLI::App& command, const Options& options) {
  command.add_option("--note", options->wish.note, "Why");
}

void add_rename(CLI::App& group, Run& run) {
  const auto options = std::make_shared<DecideOptions>();
  CLI::App* command =
      add_about_emitter(group, run, DecisionKind::rename, "Gives an emitter a name", options);
  command->add_option("name", options->wish.name, "Its name; \"\" takes the name away")->required();
  add_why(*command, options);
}

void add_note(CLI::App& group, Run& run) {
  const auto options = std::make_shared<DecideOptions>();
  CLI::App* command = add_about_emitter(group, run, DecisionKind::note,
                                        "Adds what is worth knowing about an emitter", options);
  command->add_option("text", options->wish.note, "One line")->required();
}

void add_plain(CLI::App& group, Run& run, DecisionKind kind, const char* meaning) {
  const auto options = std::make_shared<DecideOptions>();
  add_why(*add_about_emitter(group, run, kind, meaning, options), options);
}

void add_merge(CLI::App& group, Run& run) {
  const auto options = std::make_shared<DecideOptions>();
  CLI::App* command =
      add_about_emitter(group, run, DecisionKind::merge,
                        "Two emitters are one: the older keeps its identity", options);
  command->add_option("other", options->other, "CHANNEL/ID of the other")->required();
  add_why(*command, options);
}

void add_undo(CLI::App& group, Run& run) {
  const auto options = std::make_shared<DecideOptions>();
  CLI::App* command =
      add_decision(group, run, DecisionKind::undo, "Takes a decision back", options);
  command->add_option("decision", options->wish.undoes, "Its number")->required();
  add_why(*command, options);
}

void add_history(CLI::App& group, Run& run) {
  const auto options = std::make_shared<HistoryOptions>();
  CLI::App* command =
      group.add_subcommand("history", "What happened to an emitter and what was decided about it");
  add_database(*command, options->database);
  add_emitter(*command, options->emitter);
  run_when_chosen(*command, run, options, run_history);
}

}  // namespace

void add_emitter(CLI::App& app, Run& run) {
  CLI::App* group = app.add_subcommand(
      "emitter", "What a person decides about an emitter; nothing is ever lost, all can be undone");
  group->require_subcommand(1);
  add_rename(*group, run);
  add_note(*group, run);
  add_plain(*group, run, DecisionKind::watch, "Marks it as one that people want to hear of");
  add_plain(*group, run, DecisionKind::unwatch, "Takes that mark away");
  add_merge(*group, run);
  add_plain(*group, run, DecisionKind::split, "Takes a merge back: they are two after all");
  add_undo(*group, run);
  add_history(*group, run);
}

}  // namespace fixwright::tools::cli
