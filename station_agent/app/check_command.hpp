#pragma once
/// `fixwright-station check`: one screen a host can act on.

#include <ostream>
#include <string>

#include "server/base/clock.hpp"

namespace fixwright::agent {

struct CheckOptions {
  std::string config_path;
  std::string transmitter;  // LAT,LON,FREQ_HZ of a transmitter of known place; empty: none
  double sample_seconds = 2.0;
  bool json = false;
  std::string agent_version;
};

/// Checks everything and writes the report to `out`: text, or json_of(). Needs no spool and leaves
/// none; at the server the station is seen to connect and go.
/// \return 0 ok or advice, 1 a warning, 2 configuration or option that can't be used, 3 a fault.
int run_check(const CheckOptions& options, const Clock& clock, std::ostream& out);

}  // namespace fixwright::agent
