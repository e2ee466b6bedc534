#include "server/tools/calibrate_command.hpp"
#include "server/tools/calibration_command.hpp"
#include "server/tools/cli/commands.hpp"
#include "server/tools/emitter_command.hpp"

namespace fixwright::tools::cli {

namespace {

void add_proposal_rules(CLI::App& command, std::string& references, ProposalRules& rules) {
  command.add_option("--references", references,
                     "CSV file of transmitters whose place is known: name, latitude, longitude, "
                     "frequency_hz, position_sigma_m");
  command.add_flag("--joint", rules.joint,
                   "From every emitter together, each taken to stand still");
  command
      .add_option("--site-sigma", rules.site_sigma_deg,
                  "Degrees: part of a sigma that many bearings of a station do not average away")
      ->check(CLI::Range(0.01, 30.0))
      ->capture_default_str();
  command.add_option("--prior-sigma", rules.prior_sigma_deg, "Degrees: how large biases are")
      ->check(CLI::Range(0.1, 30.0))
      ->capture_default_str();
  add_transmission_rules(command, rules.transmissions);
}

void add_propose(CLI::App& group, Run& run) {
  const auto options = std::make_shared<ProposeOptions>();
  options->by = account_name();
  CLI::App* command = group.add_subcommand("propose", "Makes proposals of the bearings stored");
  add_database(*command, options->database);
  add_proposal_rules(*command, options->references, options->rules);
  command->add_option("--since", options->since, "RFC 3339: bearings from then on")->required();
  command->add_option("--until", options->until, "RFC 3339: and before this; none: up to now");
  command->add_option("--low", options->part.low_hz, "Hz: bearings from this frequency on")
      ->check(CLI::Range(0.0, 1e12));
  command->add_option("--high", options->part.high_hz, "Hz: and below this one")
      ->check(CLI::Range(0.0, 1e12));
  command
      ->add_option("--from-azimuth", options->part.from_azimuth_deg,
                   "Degrees: bearings that indicate this or more")
      ->check(CLI::Range(0.0, 360.0));
  command->add_option("--to-azimuth", options->part.to_azimuth_deg, "Degrees: and less than this")
      ->check(CLI::Range(0.0, 360.0));
  command->add_option("--by", options->by, "Who proposes")->capture_default_str();
  run_when_chosen(*command, run, options, run_propose);
}

void add_list(CLI::App& group, Run& run) {
  const auto options = std::make_shared<CalibrationListOptions>();
  CLI::App* command = group.add_subcommand("list", "What was proposed, and what was decided");
  add_database(*command, options->database);
  run_when_chosen(*command, run, options, run_calibration_list);
}

void add_decide(CLI::App& group, Run& run, bool accept) {
  const auto options = std::make_shared<CalibrationDecideOptions>();
  options->accept = accept;
  options->by = account_name();
  CLI::App* command = group.add_subcommand(
      accept ? "accept" : "refuse",
      accept ? "Has a bias taken off from a date on" : "Says that a proposal is not to be used");
  add_database(*command, options->database);
  command->add_option("calibration", options->id, "Its number")->required();
  if (accept) {
    command->add_option("--from", options->from, "RFC 3339: of bearings from then on; none: now");
  }
  command->add_option("--by", options->by, "Who decides")->capture_default_str();
  command->add_option("--note", options->note, "Why");
  run_when_chosen(*command, run, options, run_calibration_decide);
}

}  // namespace

void add_calibrate(CLI::App& app, Run& run) {
  auto options = std::make_shared<CalibrateOptions>();
  CLI::App* command = app.add_subcommand(
      "calibrate", "Bearings of a CSV log in, a bias for each station out: proposals only");
  add_input(*command, options->input);
  add_proposal_rules(*command, options->references, options->rules);
  run_when_chosen(*command, run, options, run_calibrate);
}

void add_calibration(CLI::App& app, Run& run) {
  CLI::App* group = app.add_subcommand(
      "calibration", "Biases of stations: proposed from the history, accepted or refused by you");
  group->require_subcommand(1);
  add_propose(*group, run);
  add_list(*group, run);
  add_decide(*group, run, true);
  add_decide(*group, run, false);
}

}  // namespace fixwright::tools::cli
