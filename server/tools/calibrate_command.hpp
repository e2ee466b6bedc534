#pragma once
/// `fixwright calibrate`: what bias each station of a log seems to have. Proposals with their
/// evidence; nothing is changed.

#include <istream>
#include <ostream>
#include <string>

#include "server/tools/calibration_proposals.hpp"

namespace fixwright::tools {

struct CalibrateOptions {
  std::string input = "-";  // a log of bearings as for locate; a path, or - for standard input
  std::string references;   // a path to transmitters of known place; empty: none
  ProposalRules rules;
};

/// To `out`: CSV
/// station,bias_deg,bias_sigma_deg,spread_deg,bearings,references,first,last,evidence. \return 0:
/// proposals were made; 1: none could be, each reason a line on `err`; 2: an input can't be used.
int run_calibrate(const CalibrateOptions& options, std::ostream& out, std::ostream& err);

/// The same from streams; `references` may be null.
int run_calibrate(std::istream& log, std::istream* references, const CalibrateOptions& options,
                  std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
