#pragma once
/// The parts of an agent, made as its configuration says.

#include <memory>
#include <string>
#include <string_view>

#include "server/base/clock.hpp"
#include "server/base/result.hpp"
#include "station_agent/app/agent_config.hpp"
#include "station_agent/clock/clock_state.hpp"
#include "station_agent/source/plan_board.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent {

std::unique_ptr<ClockMonitor> make_clock_monitor(const AgentConfig& config);

/// \param mark  where the source was when it was closed, in its own words; empty: never opened.
/// Board and clock must outlive the source.
Result<std::unique_ptr<Source>> open_source(const AgentConfig& config, const std::string& mark,
                                            const PlanBoard& board, const Clock& clock);

/// The word of the configuration.
std::string_view word(SourceKind kind);

}  // namespace fixwright::agent
