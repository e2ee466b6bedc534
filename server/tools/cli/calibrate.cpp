#include "server/tools/calibrate_command.hpp"
#include "server/tools/cli/commands.hpp"

namespace fixwright::tools::cli {

void add_calibrate(CLI::App& app, Run& run) {
  auto options = std::make_shared<CalibrateOptions>();
  CLI::App* command = app.add_subcommand(
      "calibrate", "Bearings of a CSV log in, a bias for each station out: proposals only");
  add_input(*command, options->input);
  command->add_option("--references", options->references,
                      "CSV file of transmitters whose place is known: name, latitude, longitude, "
                      "frequency_hz, position_sigma_m");
  command->add_flag("--joint", options->joint,
                    "From every emitter of the log together, each taken to stand still");
  command
      ->add_option("--site-sigma", options->site_sigma_deg,
                   "Degrees: part of a sigma that many bearings of a station do not average away")
      ->check(CLI::Range(0.01, 30.0))
      ->capture_default_str();
  command->add_option("--prior-sigma", options->prior_sigma_deg, "Degrees: how large biases are")
      ->check(CLI::Range(0.1, 30.0))
      ->capture_default_str();
  add_transmission_rules(*command, options->transmissions);
  run_when_chosen(*command, run, options, run_calibrate);
}

}  // namespace fixwright::tools::cli
