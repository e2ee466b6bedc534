#include "server/tools/locate_command.hpp"

#include <fmt/core.h>

#include <iterator>
#include <vector>

#include "server/report/csv.hpp"
#include "server/report/geojson.hpp"
#include "server/tools/bearing_csv.hpp"
#include "server/tools/log_fixes.hpp"

namespace fixwright::tools {

namespace {

void write_csv(const std::vector<LoggedFix>& logged, std::ostream& out) {
  out << report::fix_csv_header();
  for (const LoggedFix& l : logged) {
    out << report::fix_csv_row(l.fix);
  }
}

void write_geojson(const std::vector<LoggedFix>& logged, std::ostream& out) {
  std::vector<Fix> fixes;
  fixes.reserve(logged.size());
  for (const LoggedFix& l : logged) {
    fixes.push_back(l.fix);
  }
  out << report::fixes_geojson(fixes);
}

int locate_read(const Result<BearingCsv>& csv, const std::string& name,
                const LocateOptions& options, std::ostream& out, std::ostream& err) {
  if (!csv) {
    err << csv.error() << '\n';
    return 2;
  }
  const auto transmissions = cut_transmissions(csv->bearings, options.transmissions);
  const auto logged =
      locate_log(transmissions, options.rules, options.transmissions.frequency_tolerance_hz);
  options.format == FixFormat::csv ? write_csv(logged, out) : write_geojson(logged, out);
  if (csv->skipped > 0) {
    err << fmt::format("{}: {} rows used, {} skipped\n", name, csv->bearings.size(), csv->skipped);
  }
  const bool none_usable = csv->bearings.empty() && csv->skipped > 0;
  return none_usable || (options.strict && csv->skipped > 0) ? 1 : 0;
}

}  // namespace

int run_locate(std::istream& in, const std::string& name, const LocateOptions& options,
               std::ostream& out, std::ostream& err) {
  return locate_read(read_bearing_csv(in, name, err), name, options, out, err);
}

int run_locate(const LocateOptions& options, std::ostream& out, std::ostream& err) {
  const std::string name = options.input == "-" ? "stdin" : options.input;
  return locate_read(read_bearing_file(options.input, err), name, options, out, err);
}

}  // namespace fixwright::tools
