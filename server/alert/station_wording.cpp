#include "server/alert/station_wording.hpp"

#include <fmt/core.h>

namespace fixwright::alert {

std::string silent_message(const std::string& station, TimePoint last_heartbeat,
                           const AlertRules& rules) {
  return fmt::format(
      "station {}: no heartbeat since {} (alert.silent_after_s = {:g}); fixes that "
      "need it are worse or missing",
      station, format_rfc3339(last_heartbeat), seconds(rules.silent_after));
}

std::string clock_message(const std::string& station, const Heartbeat& heartbeat,
                          const AlertRules& rules) {
  if (heartbeat.clock_state == ClockState::unsynchronised) {
    return fmt::format(
        "station {}: its clock is unsynchronised; its bearings are kept but start "
        "no moving track",
        station);
  }
  return fmt::format("station {}: its clock may be {:.3f} s off (alert.max_clock_error_s = {:g})",
                     station, seconds(heartbeat.clock_error), seconds(rules.max_clock_error));
}

std::string overloaded_message(const std::string& station, const Heartbeat& heartbeat,
                               std::uint64_t dropped) {
  if (dropped > 0) {
    return fmt::format("station {}: its disk is full, {} bearings were dropped, {} wait", station,
                       dropped, heartbeat.waiting);
  }
  return fmt::format(
      "station {}: {} bearings wait on its disk and do not get fewer; fixes come late", station,
      heartbeat.waiting);
}

std::string biased_message(const std::string& station, const CalibrationDrift& drift) {
  return fmt::format(
      "station {}: its bearings are {:+.2f} deg off, known to {:.2f}, over {} emitters: {}",
      station, drift.residual_deg, drift.sigma_deg, drift.emitters, drift.evidence);
}

}  // namespace fixwright::alert
