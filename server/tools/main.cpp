/// The operator's command. Each subcommand has a file in cli/ for its options and one here for
/// its work.

#include "server/tools/cli/commands.hpp"

int main(int argc, char** argv) {
  namespace cli = fixwright::tools::cli;
  CLI::App app{
      "Fixwright: cross-fixes from bearings of fixed stations. A fix is evidence of where "
      "a signal came from, never proof of who sent it."};
  cli::Run run;
  cli::add_all(app, run);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : 2;
  }
  return run();
}
