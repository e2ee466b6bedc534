#pragma once
/// The whole configuration of a station agent. deploy/config/station.toml says what each key
/// means, its unit, range and default.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/log.hpp"
#include "station_agent/app/iq_config.hpp"
#include "station_agent/clock/clock_state.hpp"
#include "station_agent/position/navigator.hpp"
#include "station_agent/source/lines/line_input.hpp"
#include "station_agent/source/simulated/scenario.hpp"
#include "station_agent/spool/spool.hpp"
#include "station_agent/uplink/uplink.hpp"

namespace fixwright::agent {

enum class SourceKind { lines, simulated, iq };

/// host: kernel and chrony; kernel: the kernel alone; fixed: what the configuration says.
enum class ClockSource { host, kernel, fixed };

struct AgentConfig {
  UplinkConfig uplink;
  std::filesystem::path spool_path;
  SpoolLimits spool;
  ClockSource clock = ClockSource::host;
  ClockReading fixed_clock;  // for ClockSource::fixed
  NavConfig navigation;      // feed none: a fixed station
  SourceKind source = SourceKind::lines;
  bool stop_at_end = false;  // leave when the source has ended and all is acknowledged
  LinesConfig lines;
  Scenario scenario;           // of a simulated source
  Duration simulated_lasts{};  // 0: for ever
  IqConfig iq;                 // of a source of samples
  log::Level log_level = log::Level::info;
};

struct AgentConfigFile {
  AgentConfig config;
  std::vector<std::string> problems;  // one line each; the configuration counts only without any
};

/// Paths in the file are relative to the folder the agent runs in.
AgentConfigFile load_agent_config(const std::filesystem::path& path);
AgentConfigFile parse_agent_config(std::string_view toml, std::string_view name);

}  // namespace fixwright::agent
