#pragma once
/// The station agent at work: source, spool and uplink wired together.

#include <functional>

#include "server/base/clock.hpp"
#include "station_agent/app/agent_config.hpp"

namespace fixwright::agent {

/// Exit codes: 0 all is well, 2 the operator must mend something before it can start.
inline constexpr int kExitDone = 0;
inline constexpr int kExitOperator = 2;

/// Runs until `stop_wanted` says so, asked about ten times a second, or, with stop_at_end, until
/// the source has ended and everything is acknowledged. Stopping delivers what it can within
/// UplinkConfig::shutdown; the rest waits in the spool.
int run_agent(const AgentConfig& config, const Clock& clock,
              const std::function<bool()>& stop_wanted);

}  // namespace fixwright::agent
