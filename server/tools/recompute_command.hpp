#pragma once
/// `fixwright recompute`: history made anew from the stored bearings, with the calibrations, the
/// configuration and the decisions that hold now.

#include <ostream>
#include <string>
#include <vector>

#include "server/model/ids.hpp"

namespace fixwright::tools {

struct RecomputeOptions {
  std::string database;             // as libpq takes it
  std::string config;               // the server's configuration: its rules
  std::string since;                // RFC 3339
  std::vector<ChannelId> channels;  // none: all
  bool dry_run = false;             // say what would come of it; keep nothing
  std::string by;
  std::string note;
};

/// Plays every stored bearing, so that emitters keep their identities, and puts what it says of the
/// time since then in place of what is stored; that is kept in the views fix_before_list and
/// emitter_before_list. Alerts are not raised again. No server may run meanwhile.
///
/// \return 0; 1 when there are no bearings since then; 2 when an option, the configuration or the
/// database can't be used; each with its lines on `err`. Unless 0, nothing was changed.
int run_recompute(const RecomputeOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
