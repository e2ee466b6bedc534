#pragma once
/// Bearings in, proposals out, or why there are none: for a log as for the history.

#include <functional>
#include <ostream>
#include <string>
#include <vector>

#include "server/calibrate/proposal.hpp"
#include "server/tools/reference_csv.hpp"
#include "server/tools/transmissions.hpp"

namespace fixwright::tools {

struct ProposalRules {
  bool joint = false;  // from all emitters together, each taken to stand still
  TransmissionRules transmissions;
  double site_sigma_deg = 0.5;   // joint: what many bearings don't average away, 0.01 to 30
  double prior_sigma_deg = 3.0;  // joint: how large biases are commonly, 0.1 to 30
};

/// By station, rising. Each reason for one that is missing is a line on `err`.
std::vector<calibrate::CalibrationProposal> propose_calibrations(
    const std::vector<Bearing>& bearings, const std::vector<ReferenceTransmitter>& references,
    const ProposalRules& rules, const std::function<std::string(StationId)>& name_of,
    std::ostream& err);

/// Reads a file of reference transmitters; none for an empty path.
Result<std::vector<ReferenceTransmitter>> read_reference_file(const std::string& path);

}  // namespace fixwright::tools
