#pragma once
/// `fixwright-station calibrate`: measures the array's elements and keeps what it found.

#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "server/base/clock.hpp"

namespace fixwright::agent {

struct CalibrateCommand {
  std::string config_path;
  std::string out_path;
  std::vector<double> common_hz;          // frequencies of a signal fed to all receivers alike
  std::vector<std::string> transmitters;  // LAT,LON,FREQ_HZ
  double lasts_s = 10.0;
  std::optional<double> temperature_c;
  bool force = false;  // replace a file that is there
};

/// What was found goes to `out`, what stands against it to `err`, one line. Touches no spool and
/// connects to no server. \return 0 written, 1 nothing could be measured and nothing was written,
/// 2 configuration or option that can't be used.
int run_calibrate(const CalibrateCommand& command, const Clock& clock, std::ostream& out,
                  std::ostream& err);

}  // namespace fixwright::agent
