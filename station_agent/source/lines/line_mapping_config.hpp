#pragma once
/// [source.lines] of the configuration. deploy/config/station.toml says what each key means.

#include "server/base/config.hpp"
#include "station_agent/source/lines/line_input.hpp"

namespace fixwright::agent {

/// Mistakes are noted in the table's file. \param chosen  whether this source is to be used:
/// only then must path, address and the ways to azimuth, frequency and sigma be complete.
LinesConfig read_lines_config(const ConfigTable& lines, bool chosen);

}  // namespace fixwright::agent
