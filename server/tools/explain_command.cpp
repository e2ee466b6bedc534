#include "server/tools/explain_command.hpp"

#include <fmt/core.h>

#include <algorithm>

#include "server/report/csv.hpp"
#include "server/tools/bearing_csv.hpp"
#include "server/tools/explained_fix.hpp"
#include "server/tools/log_fixes.hpp"

namespace fixwright::tools {

namespace {

int explain_read(const Result<BearingCsv>& csv, const std::string& name,
                 const ExplainOptions& options, std::ostream& out, std::ostream& err) {
  if (!csv) {
    err << csv.error() << '\n';
    return 2;
  }
  const LocateOptions& l = options.locate;
  const auto logged = locate_log(cut_transmissions(csv->bearings, l.transmissions), l.rules,
                                 l.transmissions.frequency_tolerance_hz);
  const auto found = std::find_if(logged.begin(), logged.end(), [&](const LoggedFix& f) {
    return options.fix.empty() || report::fix_text(f.fix.key) == options.fix;
  });
  if (found == logged.end()) {
    err << fmt::format("{}: no fix {}; `fixwright locate` with the same options lists them\n", name,
                       options.fix.empty() ? "at all" : options.fix);
    return 2;
  }
  const ExplainedFix explained{
      found->fix.key, found->fix.frequency_hz, found->group, numbered(csv->station_names), {}};
  write_fix(explained, out);
  return draw(explained, options.svg, err) ? 0 : 2;
}

}  // namespace

int run_explain(std::istream& in, const std::string& name, const ExplainOptions& options,
                std::ostream& out, std::ostream& err) {
  return explain_read(read_bearing_csv(in, name, err), name, options, out, err);
}

int run_explain(const ExplainOptions& options, std::ostream& out, std::ostream& err) {
  if (!options.database.empty()) return run_explain_stored(options, out, err);
  const std::string& input = options.locate.input;
  return explain_read(read_bearing_file(input, err), input == "-" ? "stdin" : input, options, out,
                      err);
}

}  // namespace fixwright::tools
