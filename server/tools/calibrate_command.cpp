#include "server/tools/calibrate_command.hpp"

#include <fmt/core.h>

#include <iostream>
#include <vector>

#include "server/base/csv.hpp"
#include "server/tools/bearing_csv.hpp"

namespace fixwright::tools {

namespace {

using calibrate::CalibrationProposal;

std::string name_of(StationId id, const BearingCsv& log) {
  return log.station_names.at(static_cast<std::size_t>(id - 1));
}

void write(const std::vector<CalibrationProposal>& proposals, const BearingCsv& log,
           std::ostream& out) {
  out << "station,bias_deg,bias_sigma_deg,spread_deg,bearings,references,first,last,evidence\n";
  for (const CalibrationProposal& p : proposals) {
    out << csv_row(std::vector<std::string>{
        name_of(p.station, log), fmt::format("{:.4f}", p.bias_deg),
        fmt::format("{:.4f}", p.bias_sigma_deg), fmt::format("{:.4f}", p.spread_deg),
        std::to_string(p.bearings), std::to_string(p.references), format_rfc3339(p.first),
        format_rfc3339(p.last), p.evidence});
  }
}

int calibrate_read(const Result<BearingCsv>& log,
                   const Result<std::vector<ReferenceTransmitter>>& references,
                   const CalibrateOptions& options, std::ostream& out, std::ostream& err) {
  if (!log || !references) {
    err << (log ? references.error() : log.error()) << '\n';
    return 2;
  }
  const auto proposals = propose_calibrations(
      log->bearings, *references, options.rules, [&](StationId id) { return name_of(id, *log); },
      err);
  if (proposals.empty()) return 1;
  write(proposals, *log, out);
  err << "these are proposals, nothing was changed: `fixwright calibration propose` makes them of "
         "a server's history, where one can be accepted\n";
  return 0;
}

Result<std::vector<ReferenceTransmitter>> read_references(std::istream* in,
                                                          const std::string& name) {
  if (in == nullptr) return std::vector<ReferenceTransmitter>{};
  return read_reference_csv(*in, name);
}

bool has_no_source(const CalibrateOptions& options, std::ostream& err) {
  if (options.rules.joint || !options.references.empty()) return false;
  err << "calibrate: nothing to compare with; give --references FILE, or --joint\n";
  return true;
}

}  // namespace

int run_calibrate(std::istream& log, std::istream* references, const CalibrateOptions& options,
                  std::ostream& out, std::ostream& err) {
  return calibrate_read(read_bearing_csv(log, "log", err),
                        read_references(references, "references"), options, out, err);
}

int run_calibrate(const CalibrateOptions& options, std::ostream& out, std::ostream& err) {
  if (has_no_source(options, err)) return 2;
  return calibrate_read(read_bearing_file(options.input, err),
                        read_reference_file(options.references), options, out, err);
}

}  // namespace fixwright::tools
