#include "server/tools/calibrate_command.hpp"

#include <fmt/core.h>

#include <fstream>
#include <iostream>
#include <vector>

#include "server/base/csv.hpp"
#include "server/tools/bearing_csv.hpp"
#include "server/tools/calibration_input.hpp"

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

std::vector<CalibrationProposal> from_references(
    const BearingCsv& log, const std::vector<ReferenceTransmitter>& references,
    const CalibrateOptions& options, std::ostream& err) {
  std::vector<CalibrationProposal> proposals;
  const auto stations =
      reference_bearings(log.bearings, references, options.transmissions.frequency_tolerance_hz);
  if (stations.empty()) {
    err << "no calibration proposed: no bearing lies on the frequency of a reference\n";
  }
  for (const auto& bearings : stations) {
    const auto proposal = calibrate::reference_bias(bearings);
    if (proposal) {
      proposals.push_back(*proposal);
    } else {
      err << fmt::format("{}: {}\n", name_of(bearings.front().station, log), proposal.error());
    }
  }
  return proposals;
}

std::vector<CalibrationProposal> from_all(const BearingCsv& log,
                                          const std::vector<ReferenceTransmitter>& references,
                                          const CalibrateOptions& options, std::ostream& err) {
  const JointInput input = joint_input(log.bearings, references, options.transmissions,
                                       options.site_sigma_deg, options.prior_sigma_deg);
  for (const std::string& line : input.left_out) err << line << '\n';
  calibrate::JointRules rules;
  rules.prior_sigma_deg = options.prior_sigma_deg;
  const auto whole = calibrate::joint_bias(input.observations, input.emitters, rules);
  if (whole) return whole->proposals;
  err << whole.error() << '\n';
  return {};
}

int calibrate_read(const Result<BearingCsv>& log,
                   const Result<std::vector<ReferenceTransmitter>>& references,
                   const CalibrateOptions& options, std::ostream& out, std::ostream& err) {
  if (!log || !references) {
    err << (log ? references.error() : log.error()) << '\n';
    return 2;
  }
  const auto proposals = options.joint ? from_all(*log, *references, options, err)
                                       : from_references(*log, *references, options, err);
  if (proposals.empty()) return 1;
  write(proposals, *log, out);
  err << "these are proposals, nothing was changed: to accept one, set bias_deg of the station in "
         "the server's configuration\n";
  return 0;
}

Result<std::vector<ReferenceTransmitter>> read_references(std::istream* in,
                                                          const std::string& name) {
  if (in == nullptr) return std::vector<ReferenceTransmitter>{};
  return read_reference_csv(*in, name);
}

bool has_no_source(const CalibrateOptions& options, std::ostream& err) {
  if (options.joint || !options.references.empty()) return false;
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
  std::ifstream references;
  if (!options.references.empty()) {
    references.open(options.references, std::ios::binary);
    if (!references) {
      err << fmt::format("{}: cannot be read; give a CSV file of reference transmitters\n",
                         options.references);
      return 2;
    }
  }
  return calibrate_read(
      read_bearing_file(options.input, err),
      read_references(options.references.empty() ? nullptr : &references, options.references),
      options, out, err);
}

}  // namespace fixwright::tools
