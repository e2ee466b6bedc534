#pragma once
/// Shows live what a source hears. No spool, no server.

#include <functional>
#include <ostream>
#include <string>
#include <vector>

#include "server/base/clock.hpp"
#include "station_agent/listen/terminal.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent::listen {

struct ListenOptions {
  std::string station;
  std::string source;  // lines, simulated, iq
  Duration lasts{};    // 0: until it is ended
};

struct ListenTools {
  Source& source;
  const Clock& clock;
  std::function<bool()> stop_wanted;
  /// Gives the bearings of a station that moves their place and heading; may take some away.
  std::function<void(std::vector<SourceBearing>&)> place;
};

/// On a terminal: rose and table, five times a second, until q, the time, or stop_wanted. A source
/// that has ended stays on the screen.
void listen_on_screen(const ListenOptions& options, const ListenTools& tools,
                      const Terminal& terminal);

/// Without a terminal: one line a bearing on `out`, complaints on `complaints`, until the source
/// ends, the time, or stop_wanted.
void listen_by_line(const ListenOptions& options, const ListenTools& tools, std::ostream& out,
                    std::ostream& complaints);

}  // namespace fixwright::agent::listen
