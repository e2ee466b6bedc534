#pragma once
/// The table [position] of a station's configuration.

#include "server/base/config.hpp"
#include "station_agent/position/navigator.hpp"

namespace fixwright::agent {

/// deploy/config/station.toml says what each key means. Mistakes become the file's problems.
NavConfig read_navigation(const ConfigTable& table);

}  // namespace fixwright::agent
