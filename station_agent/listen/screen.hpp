#pragma once
/// What `listen` shows: the rose, a table of channels beside it, and a line of news.

#include <string>
#include <vector>

#include "station_agent/listen/live_board.hpp"

namespace fixwright::agent::listen {

inline constexpr int kScreenColumns = 80;

struct ScreenView {
  std::string station;
  std::string source;  // lines, simulated, iq
  TimePoint now{};
  std::uint64_t bearings = 0;  // since it began
  std::string news;            // one line; may be empty
  std::vector<LiveChannel> channels;
};

/// Lines of at most kScreenColumns columns, as many as fit `rows`.
std::vector<std::string> screen(const ScreenView& view, int rows);

/// One bearing as one line, for pipes and files: time, frequency, azimuth and sigma, level, SNR,
/// flags, label, other azimuths.
std::string line_of(const SourceBearing& bearing);

}  // namespace fixwright::agent::listen
