#include <map>
#include <string>

#include "server/tools/cli/commands.hpp"
#include "server/tools/locate_command.hpp"

namespace fixwright::tools::cli {

void add_locate(CLI::App& app, Run& run) {
  auto options = std::make_shared<LocateOptions>();
  CLI::App* command = app.add_subcommand("locate", "Bearings of a CSV log in, fixes out");
  add_input(*command, options->input);
  static const std::map<std::string, FixFormat> kFormats{{"csv", FixFormat::csv},
                                                         {"geojson", FixFormat::geojson}};
  command->add_option("--format", options->format, "csv or geojson")
      ->transform(CLI::CheckedTransformer(kFormats, CLI::ignore_case))
      ->option_text("csv|geojson [csv]");
  command->add_flag("--strict", options->strict, "Exit 1 when a row had to be skipped");
  add_transmission_rules(*command, options->transmissions);
  add_locate_rules(*command, options->rules);
  run_when_chosen(*command, run, options, run_locate);
}

}  // namespace fixwright::tools::cli
