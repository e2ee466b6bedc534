#include <map>

#include "server/store/layers.hpp"
#include "server/tools/cli/commands.hpp"
#include "server/tools/export_command.hpp"

namespace fixwright::tools::cli {

namespace {

void add_options(CLI::App& command, ExportOptions& options) {
  static const std::map<std::string, ExportFormat> kFormats{
      {"geojson", ExportFormat::geojson},
      {"geojsonseq", ExportFormat::geojsonseq},
      {"gpx", ExportFormat::gpx},
      {"kml", ExportFormat::kml},
      {"csv", ExportFormat::csv}};
  command.add_option("--format", options.format, "How it is written")
      ->transform(CLI::CheckedTransformer(kFormats, CLI::ignore_case))
      ->option_text("geojson|geojsonseq|gpx|kml|csv [geojson]");
  command.add_option("--output", options.output, "The file; without it, to the terminal");
  command.add_option("--database", options.database, "As libpq takes it")->capture_default_str();
  command.add_option("--since", options.since, "RFC 3339: those that were there then or later");
  command.add_option("--until", options.until, "RFC 3339: those that were there then or earlier");
  command.add_option("--box", options.box, "WEST,SOUTH,EAST,NORTH in degrees: those that touch it");
  command.add_option("--limit", options.limit, "Features at most")
      ->check(CLI::Range(1, 10'000'000))
      ->capture_default_str();
  command.add_option("--timeout", options.timeout_s, "Seconds the database may take")
      ->check(CLI::Range(1, 3600))
      ->capture_default_str();
}

}  // namespace

void add_export(CLI::App& app, Run& run) {
  CLI::App* group =
      app.add_subcommand("export", "Writes a map layer as a file for maps and receivers");
  group->require_subcommand(1);
  for (const Layer& layer : store::layers()) {
    auto options = std::make_shared<ExportOptions>();
    options->layer = layer.name;
    CLI::App* command = group->add_subcommand(layer.name, layer.about);
    add_options(*command, *options);
    run_when_chosen(*command, run, options, run_export);
  }
}

}  // namespace fixwright::tools::cli
