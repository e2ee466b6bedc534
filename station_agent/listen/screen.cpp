#include "station_agent/listen/screen.hpp"

#include <fmt/core.h>

#include <algorithm>

#include "server/base/text.hpp"
#include "station_agent/listen/rose.hpp"

namespace fixwright::agent::listen {

namespace {

std::string cell(const std::optional<double>& value, int width) {
  return value ? fmt::format("{:{}.1f}", *value, width) : fmt::format("{:>{}}", "-", width);
}

/// o overload, u uncalibrated, s simulated.
std::string flags_of(const SourceBearing& b) {
  std::string flags;
  if (b.overload) flags += 'o';
  if (b.uncalibrated) flags += 'u';
  if (b.simulated) flags += 's';
  return flags;
}

std::string row_of(const LiveChannel& c) {
  const SourceBearing& b = c.last;
  return fmt::format("{} {:>11.4f} {} {:5.1f} {:4.1f} {} {:<3}", c.letter, b.frequency_hz / 1e6,
                     cell(b.level_dbfs, 6), b.azimuth_deg, b.sigma_deg, cell(c.spread_deg, 5),
                     flags_of(b));
}

std::vector<std::string> table_of(const std::vector<LiveChannel>& channels, std::size_t rows) {
  std::vector<std::string> lines{"#         MHz   dBFS    az   +-  spread"};
  if (channels.empty()) lines.emplace_back("nothing heard yet");
  const bool all = channels.size() + 1 <= rows;
  const std::size_t shown = all ? channels.size() : rows - 2;
  for (std::size_t i = 0; i < shown; ++i) lines.push_back(row_of(channels[i]));
  if (!all) lines.push_back(fmt::format("and {} more", channels.size() - shown));
  return lines;
}

std::vector<std::string> rose_of(const std::vector<LiveChannel>& channels) {
  std::vector<RoseMark> marks;
  for (const LiveChannel& c : channels) {
    marks.push_back({c.letter, c.last.azimuth_deg, c.spread_deg.value_or(c.last.sigma_deg)});
  }
  return rose(marks);
}

/// At most kScreenColumns bytes of ASCII; what is not ASCII was escaped or is left out.
std::string fitted(const std::string& text) {
  std::string line;
  for (const char c : one_line(text)) {
    if (static_cast<unsigned char>(c) < 0x80U) line += c;
  }
  line.resize(std::min<std::size_t>(line.size(), kScreenColumns));
  return line;
}

}  // namespace

std::vector<std::string> screen(const ScreenView& view, int rows) {
  std::vector<std::string> lines;
  lines.push_back(fitted(fmt::format("{}, {}  {}  {} bearings  (q leaves)", view.station,
                                     view.source, format_rfc3339(view.now, 0), view.bearings)));
  lines.push_back(fitted(view.news));
  const std::vector<std::string> left = rose_of(view.channels);
  const std::vector<std::string> right = table_of(view.channels, kRoseRows);
  for (std::size_t i = 0; i < left.size(); ++i) {
    lines.push_back(fitted(left[i] + "  " + (i < right.size() ? right[i] : "")));
  }
  lines.resize(std::min<std::size_t>(lines.size(), static_cast<std::size_t>(std::max(rows, 1))));
  return lines;
}

std::string line_of(const SourceBearing& b) {
  std::string line = fmt::format("{} {:.6f} MHz {:.1f} deg +- {:.1f}", format_rfc3339(b.start),
                                 b.frequency_hz / 1e6, b.azimuth_deg, b.sigma_deg);
  if (b.level_dbfs) line += fmt::format(", {:.1f} dBFS", *b.level_dbfs);
  if (b.field_strength_dbuv_per_m) {
    line += fmt::format(", {:.1f} dB(uV/m)", *b.field_strength_dbuv_per_m);
  }
  if (b.snr_db) line += fmt::format(", SNR {:.1f} dB", *b.snr_db);
  if (b.overload) line += ", overload";
  if (b.uncalibrated) line += ", uncalibrated";
  if (b.simulated) line += ", simulated";
  if (b.label) line += ", label " + one_line(*b.label);
  for (const SourceAlternative& a : b.alternatives) {
    line += fmt::format(", or {:.1f} deg ({:.2f})", a.azimuth_deg, a.weight);
  }
  return line;
}

}  // namespace fixwright::agent::listen
