#include "server/tools/calibration_proposals.hpp"

#include <fmt/core.h>

#include <fstream>

#include "server/tools/calibration_input.hpp"

namespace fixwright::tools {

namespace {

using calibrate::CalibrationProposal;
using NameOf = std::function<std::string(StationId)>;

std::vector<CalibrationProposal> from_references(
    const std::vector<Bearing>& bearings, const std::vector<ReferenceTransmitter>& references,
    const ProposalRules& rules, const NameOf& name_of, std::ostream& err) {
  std::vector<CalibrationProposal> proposals;
  const auto stations =
      reference_bearings(bearings, references, rules.transmissions.frequency_tolerance_hz);
  if (stations.empty()) {
    err << "no calibration proposed: no bearing lies on the frequency of a reference\n";
  }
  for (const auto& of_station : stations) {
    const auto proposal = calibrate::reference_bias(of_station);
    if (proposal) {
      proposals.push_back(*proposal);
    } else {
      err << fmt::format("{}: {}\n", name_of(of_station.front().station), proposal.error());
    }
  }
  return proposals;
}

std::vector<CalibrationProposal> from_all(const std::vector<Bearing>& bearings,
                                          const std::vector<ReferenceTransmitter>& references,
                                          const ProposalRules& rules, std::ostream& err) {
  const JointInput input = joint_input(bearings, references, rules.transmissions,
                                       rules.site_sigma_deg, rules.prior_sigma_deg);
  for (const std::string& line : input.left_out) err << line << '\n';
  calibrate::JointRules joint;
  joint.prior_sigma_deg = rules.prior_sigma_deg;
  const auto whole = calibrate::joint_bias(input.observations, input.emitters, joint);
  if (whole) return whole->proposals;
  err << whole.error() << '\n';
  return {};
}

}  // namespace

std::vector<CalibrationProposal> propose_calibrations(
    const std::vector<Bearing>& bearings, const std::vector<ReferenceTransmitter>& references,
    const ProposalRules& rules, const NameOf& name_of, std::ostream& err) {
  return rules.joint ? from_all(bearings, references, rules, err)
                     : from_references(bearings, references, rules, name_of, err);
}

Result<std::vector<ReferenceTransmitter>> read_reference_file(const std::string& path) {
  if (path.empty()) return std::vector<ReferenceTransmitter>{};
  std::ifstream in(path, std::ios::binary);
  if (!in) {
    return Error{
        fmt::format("{}: cannot be read; give a CSV file of reference transmitters", path)};
  }
  return read_reference_csv(in, path);
}

}  // namespace fixwright::tools
