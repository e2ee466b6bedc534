#include <map>

#include "server/tools/cli/commands.hpp"
#include "server/tools/query_command.hpp"

namespace fixwright::tools::cli {

namespace {

void add_argument(CLI::App& command, const QueryArgument& argument, QueryOptions& options) {
  std::string about = argument.meaning;
  if (argument.fallback) about += " [" + *argument.fallback + "]";
  CLI::Option* option = command.add_option_function<std::string>(
      "--" + argument.name,
      [&options, name = argument.name](const std::string& value) {
        options.arguments[name] = value;
      },
      about);
  if (!argument.fallback) option->required();
}

void add_shared(CLI::App& command, QueryOptions& options) {
  static const std::map<std::string, QueryFormat> kFormats{
      {"table", QueryFormat::table}, {"csv", QueryFormat::csv}, {"geojson", QueryFormat::geojson}};
  command.add_option("--database", options.database, "As libpq takes it")->capture_default_str();
  command.add_option("--format", options.format, "table, csv or geojson")
      ->transform(CLI::CheckedTransformer(kFormats, CLI::ignore_case))
      ->option_text("table|csv|geojson [table]");
  command.add_option("--timeout", options.timeout_s, "Seconds the database may take")
      ->check(CLI::Range(1, 3600))
      ->capture_default_str();
}

}  // namespace

void add_query(CLI::App& app, Run& run) {
  CLI::App* group = app.add_subcommand(
      "query", "Asks the database one of the questions in sql/README.md; reads only");
  group->require_subcommand(1);
  for (const QueryFile& file : query_files()) {
    auto query = parse_named_query(file);
    if (!query.ok()) throw std::logic_error(query.error());
    auto options = std::make_shared<QueryOptions>();
    options->query = *query;
    CLI::App* command = group->add_subcommand(file.name, options->query.about);
    for (const QueryArgument& argument : options->query.arguments) {
      add_argument(*command, argument, *options);
    }
    add_shared(*command, *options);
    run_when_chosen(*command, run, options, run_query);
  }
}

}  // namespace fixwright::tools::cli
