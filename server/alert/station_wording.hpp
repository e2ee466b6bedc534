#pragma once
/// The sentences of alerts about stations.

#include <string>

#include "server/alert/rules.hpp"
#include "server/model/calibration.hpp"
#include "server/model/station.hpp"

namespace fixwright::alert {

std::string silent_message(const std::string& station, TimePoint last_heartbeat,
                           const AlertRules& rules);
std::string clock_message(const std::string& station, const Heartbeat& heartbeat,
                          const AlertRules& rules);
/// \param dropped  since it was last told, or 0.
std::string overloaded_message(const std::string& station, const Heartbeat& heartbeat,
                               std::uint64_t dropped);
std::string biased_message(const std::string& station, const CalibrationDrift& drift);

}  // namespace fixwright::alert
