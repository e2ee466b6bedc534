#include "server/tools/register_command.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <exception>
#include <fstream>
#include <iostream>

#include "server/store/database.hpp"
#include "server/store/schema.hpp"
#include "server/store/small_tables.hpp"

namespace fixwright::tools {

namespace {

constexpr std::size_t kMostComplaints = 100;

void complain(const register_::RegisterCsv& csv, std::ostream& err) {
  const std::size_t shown = std::min(csv.refused.size(), kMostComplaints);
  for (std::size_t i = 0; i < shown; ++i) err << csv.refused[i] << '\n';
  if (csv.refused.size() > shown) {
    err << fmt::format("and {} more rows\n", csv.refused.size() - shown);
  }
}

void into_database(const std::string& connection, std::span<const Licence> licences) {
  store::DatabaseRules rules;
  rules.connection = connection;
  rules.connections = 1;
  store::Database database{rules};
  store::check_schema(database);
  store::replace_licences(database, licences);
}

}  // namespace

int run_register_import(std::istream& in, const std::string& name,
                        const RegisterImportOptions& options, const LicenceSink& sink,
                        std::ostream& out, std::ostream& err) {
  const auto csv = register_::read_register_csv(in, name, options.rules);
  if (!csv) {
    err << csv.error() << '\n';
    return 2;
  }
  complain(*csv, err);
  const std::size_t refused = csv->refused.size();
  const auto counts = fmt::format("{} licences, {} rows refused", csv->licences.size(), refused);
  if (options.dry_run) {
    out << fmt::format("{}: {}; dry run, nothing was written\n", name, counts);
    return refused > 0 ? 1 : 0;
  }
  if (refused > 0 && !options.skip_refused) {
    err << fmt::format(
        "{}: {}; nothing was written: mend the rows, or import the others with "
        "--skip-refused\n",
        name, counts);
    return 1;
  }
  try {
    sink(csv->licences);
  } catch (const std::exception& error) {
    err << fmt::format("register: nothing was written: {}\n", error.what());
    return 2;
  }
  out << fmt::format(
      "{}: {}; the register was replaced; a running server reads it when it is "
      "started again\n",
      name, counts);
  return refused > 0 ? 1 : 0;
}

int run_register_import(const RegisterImportOptions& options, std::ostream& out,
                        std::ostream& err) {
  const LicenceSink sink = [&](std::span<const Licence> licences) {
    into_database(options.database, licences);
  };
  if (options.database.empty() && !options.dry_run) {
    err << "register: no database; give --database, or --dry-run to only read\n";
    return 2;
  }
  if (options.input == "-") {
    return run_register_import(std::cin, "stdin", options, sink, out, err);
  }
  std::ifstream in(options.input, std::ios::binary);
  if (!in) {
    err << fmt::format("{}: cannot be read; give a CSV file, or - for standard input\n",
                       options.input);
    return 2;
  }
  return run_register_import(in, options.input, options, sink, out, err);
}

}  // namespace fixwright::tools
