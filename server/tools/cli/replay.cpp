#include "server/tools/cli/commands.hpp"
#include "server/tools/replay_command.hpp"

namespace fixwright::tools::cli {

void add_replay(CLI::App& app, Run& run) {
  auto options = std::make_shared<ReplayOptions>();
  CLI::App* command = app.add_subcommand(
      "replay", "Bearings of a CSV log in, in the order they came; emitter states out");
  add_input(*command, options->input);
  command
      ->add_option("--every", options->every_s,
                   "Seconds of the log between two rows of an emitter that is heard on")
      ->check(CLI::Range(0.0, 1e9))
      ->capture_default_str();
  command
      ->add_option("--lateness", options->rules.align.lateness_s,
                   "Seconds a bearing may stand behind others in the file")
      ->check(CLI::Range(0.0, 1e6))
      ->capture_default_str();
  command->add_flag("--by-time", options->by_time, "Replay in order of time, not of the file");
  command->add_flag("--strict", options->strict,
                    "Exit 1 when a row had to be skipped or came too late");
  add_transmission_rules(*command, options->transmissions);
  add_locate_rules(*command, options->rules.locate);
  run_when_chosen(*command, run, options, run_replay);
}

}  // namespace fixwright::tools::cli
