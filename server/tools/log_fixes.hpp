#pragma once
/// Fixes of a whole log, with the parts each was made of.

#include <vector>

#include "server/locate/locate_transmission.hpp"
#include "server/model/fix.hpp"
#include "server/tools/transmissions.hpp"

namespace fixwright::tools {

/// A fix and how it came about.
struct LoggedFix {
  Fix fix;
  locate::GroupFix group;
  std::size_t transmission = 0;  // index into what was given
};

/// One entry an emitter of each transmission, or one that carries the refusal; in order of time.
/// Fixes of the same transmitter have the same emitter.
std::vector<LoggedFix> locate_log(const std::vector<Transmission>& transmissions,
                                  const locate::LocateRules& rules, double frequency_tolerance_hz);

}  // namespace fixwright::tools
