/// The operator's command. Each subcommand has a file in cli/ for its options and one here for
/// its work.

#include "server/tools/cli/commands.hpp"

int main(int argc, char** argv) {
  namespace cli = fixwright::tools::cli;
  CLI::App app{
      "Fixwright: cross-fixes from bearings of fixed stations. A fix is evidence of where "
      "a signal came from, never proof of who sent it."};
  app.require_subcommand(1);
  cli::Run run;
  cli::add_locate(app, run);
  cli::add_explain(app, run);
  cli::add_replay(app, run);
  cli::add_calibrate(app, run);
  cli::add_calibration(app, run);
  cli::add_register(app, run);
  cli::add_alert(app, run);
  cli::add_emitter(app, run);
  cli::add_emitters(app, run);
  cli::add_query(app, run);
  cli::add_case(app, run);
  cli::add_export(app, run);
  cli::add_handover(app, run);
  cli::add_recompute(app, run);
  cli::add_report(app, run);
  cli::add_retention(app, run);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : 2;
  }
  return run();
}
