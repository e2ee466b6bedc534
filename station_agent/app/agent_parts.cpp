#include "station_agent/app/agent_parts.hpp"

#include "station_agent/clock/clock_watch.hpp"
#include "station_agent/source/iq/chain/iq_source.hpp"
#include "station_agent/source/lines/lines_source.hpp"
#include "station_agent/source/simulated/simulated_source.hpp"

namespace fixwright::agent {

std::unique_ptr<ClockMonitor> make_clock_monitor(const AgentConfig& config) {
  if (config.clock == ClockSource::fixed) {
    return std::make_unique<FixedClockMonitor>(config.fixed_clock);
  }
  if (config.clock == ClockSource::host) return std::make_unique<ClockWatch>();
  return std::make_unique<ClockWatch>(std::vector<std::string>{});
}

Result<std::unique_ptr<Source>> open_source(const AgentConfig& config, const std::string& mark,
                                            const PlanBoard& board, const Clock& clock) {
  if (config.source == SourceKind::lines) return open_lines_source(config.lines, mark, clock);
  if (config.source == SourceKind::iq) {
    auto stream = open_iq_stream(config.iq, clock);
    if (!stream) return Error{stream.error()};
    return iq::IqSource::open(config.iq.chain, std::move(stream).value(), &board, clock);
  }
  return std::unique_ptr<Source>(std::make_unique<SimulatedSource>(
      config.scenario, config.uplink.station, config.simulated_lasts, clock));
}

std::string_view word(SourceKind kind) {
  switch (kind) {
    case SourceKind::lines:
      return "lines";
    case SourceKind::iq:
      return "iq";
    case SourceKind::simulated:
      break;
  }
  return "simulated";
}

}  // namespace fixwright::agent
