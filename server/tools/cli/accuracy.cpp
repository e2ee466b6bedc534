#include <map>

#include "server/tools/accuracy_command.hpp"
#include "server/tools/cli/commands.hpp"

namespace fixwright::tools::cli {

void add_accuracy(CLI::App& app, Run& run) {
  static const std::map<std::string, AccuracyFormat> kFormats{{"table", AccuracyFormat::table},
                                                              {"geojson", AccuracyFormat::geojson},
                                                              {"csv", AccuracyFormat::csv}};
  const auto options = std::make_shared<AccuracyOptions>();
  CLI::App* c = app.add_subcommand(
      "accuracy", "How well a network would locate over an area, and where one more would help");
  c->add_option("--config", options->config, "The server's configuration: its stations")
      ->required();
  c->add_option("--box", options->box, "WEST,SOUTH,EAST,NORTH in degrees")->required();
  c->add_option("--step", options->step_km, "Side of a cell, km")
      ->check(CLI::Range(0.05, 500.0))
      ->capture_default_str();
  c->add_option("--sigma", options->sigma_deg, "Of one bearing, degrees")
      ->check(CLI::Range(0.01, 45.0))
      ->capture_default_str();
  c->add_option("--bearings", options->bearings, "That a station takes of a transmission")
      ->check(CLI::Range(1, 100'000))
      ->capture_default_str();
  c->add_option("--range", options->range_km, "Nobody hears farther, km")
      ->check(CLI::Range(0.1, 20'000.0))
      ->capture_default_str();
  c->add_option("--transmitter-height", options->transmitter_height_m,
                "m: nobody hears beyond the radio horizon over flat ground")
      ->check(CLI::Range(0.0, 20'000.0));
  c->add_option("--without", options->without, "A station that is taken away; may be given again");
  c->add_option("--with", options->with,
                "LATITUDE,LONGITUDE of a station that is added; may be given again");
  c->add_flag("--suggest", options->suggest, "Says where one more would help most");
  c->add_option("--format", options->format, "table, geojson or csv")
      ->transform(CLI::CheckedTransformer(kFormats, CLI::ignore_case))
      ->option_text("table|geojson|csv [table]");
  c->add_option("--output", options->output, "The file; without it, to the terminal");
  run_when_chosen(*c, run, options, run_accuracy);
}

}  // namespace fixwright::tools::cli
