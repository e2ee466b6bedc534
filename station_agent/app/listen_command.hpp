#pragma once
/// `fixwright-station listen`: what the source hears, live, in the terminal.

#include <functional>
#include <string>
#include <vector>

#include "server/base/clock.hpp"

namespace fixwright::agent {

struct ListenCommand {
  std::string config_path;
  double lasts_s = 0.0;             // 0: until q or Ctrl-C
  std::vector<double> channels_hz;  // watched beside those of the configuration
};

/// Rose and table where standard output is a terminal, else a line a bearing. Touches no spool and
/// connects to no server. \return 0, or 2 where the configuration or the source can't be used.
int run_listen(const ListenCommand& command, const Clock& clock,
               const std::function<bool()>& stop_wanted);

}  // namespace fixwright::agent
