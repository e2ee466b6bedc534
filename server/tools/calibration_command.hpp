#pragma once
/// `fixwright calibration`: biases of stations, from what is stored: proposed with their evidence,
/// accepted or refused by a person; a running server notices within some seconds.

#include <ostream>
#include <string>

#include "server/model/calibration.hpp"
#include "server/tools/calibration_proposals.hpp"

namespace fixwright::tools {

/// All: \return 0; 1 when nothing came of it; 2 when an option or the database can't be used; each
/// with its lines on `err`.

struct ProposeOptions {
  std::string database;    // as libpq takes it
  std::string references;  // a path to transmitters of known place; empty: none
  ProposalRules rules;
  std::string since;  // RFC 3339
  std::string until;  // empty: up to now
  Calibration part;   // of its band and sector, only bearings in them
  std::string by;
};
int run_propose(const ProposeOptions& options, std::ostream& out, std::ostream& err);

struct CalibrationListOptions {
  std::string database;
};
int run_calibration_list(const CalibrationListOptions& options, std::ostream& out,
                         std::ostream& err);

struct CalibrationDecideOptions {
  std::string database;
  std::int64_t id = 0;
  bool accept = true;
  std::string from;  // RFC 3339; empty: now
  std::string by;
  std::string note;
};
int run_calibration_decide(const CalibrationDecideOptions& options, std::ostream& out,
                           std::ostream& err);

}  // namespace fixwright::tools
