#include "server/report/table.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "server/base/text.hpp"
#include "server/base/time.hpp"

namespace fixwright::report {

namespace {

/// Code points, which is what a terminal gives a cell each to (but for wide scripts).
std::size_t width(std::string_view utf8) {
  return static_cast<std::size_t>(std::ranges::count_if(
      utf8, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string frequency_cell(double hz) { return fmt::format("{:.4f} MHz", hz / 1e6); }

/// Three digits of a circle, 359.7 as 000.
std::string direction(double deg, double circle_deg) {
  return fmt::format("{:03.0f}", std::fmod(std::round(deg), circle_deg));
}

std::string position_cell(const CrossFix& fix) {
  if (!fix.accepted()) return "-";
  return fmt::format("{:.5f} {:.5f}", fix.position.latitude_deg, fix.position.longitude_deg);
}

/// The reason stands where the ellipse would.
std::string ellipse_cell(const CrossFix& fix) {
  if (!fix.accepted()) return std::string{to_string(fix.refusal)};
  return fmt::format("{:.0f} x {:.0f} m, {} deg{}", fix.ellipse.semi_major_m,
                     fix.ellipse.semi_minor_m, direction(fix.ellipse.orientation_deg, 180.0),
                     fix.region_open ? ", open" : "");
}

std::string state_cell(const Emitter& e) {
  std::string text{to_string(e.state)};
  if (!e.velocity) return text;
  return text + fmt::format(", {:.0f} m/s to {}", e.velocity->speed_m_per_s,
                            direction(e.velocity->course_deg, 360.0));
}

std::string register_cell(const std::optional<RegisterMatch>& match) {
  if (!match) return "-";
  switch (match->verdict) {
    case RegisterVerdict::registered:
      return match->licence.value_or("registered");
    case RegisterVerdict::unregistered:
      return "not found";
    case RegisterVerdict::position_disagrees:
      return fmt::format("{:.1f} km from {}", match->distance_m.value_or(0.0) / 1000.0,
                         match->licence.value_or("its entry"));
    case RegisterVerdict::off_frequency:
      return fmt::format("{:+.1f} kHz from {}", match->frequency_offset_hz.value_or(0.0) / 1000.0,
                         match->licence.value_or("its entry"));
    case RegisterVerdict::out_of_validity:
      return fmt::format("{}, not in force", match->licence.value_or("entry"));
    case RegisterVerdict::undecided:
      break;
  }
  return "undecided";
}

std::string ago_cell(Duration age) {
  const double s = std::max(0.0, seconds(age));
  if (s < 120.0) return fmt::format("{:.0f} s ago", std::floor(s));
  if (s < 7200.0) return fmt::format("{:.0f} min ago", std::floor(s / 60.0));
  if (s < 172'800.0) return fmt::format("{:.0f} h ago", std::floor(s / 3600.0));
  return fmt::format("{:.0f} d ago", std::floor(s / 86'400.0));
}

std::vector<std::string> emitter_cells(const EmitterView& v, TimePoint now) {
  const Emitter& e = v.emitter;
  return {frequency_cell(e.frequency_hz),
          position_cell(e.fix),
          ellipse_cell(e.fix),
          std::to_string(e.stations.size()),
          state_cell(e),
          register_cell(v.match),
          ago_cell(now - e.last_heard),
          fmt::format("{}/{}", e.key.channel, e.key.id),
          v.name.value_or("")};
}

std::vector<std::size_t> column_widths(std::span<const std::vector<std::string>> rows) {
  std::vector<std::size_t> widths;
  for (const auto& row : rows) {
    widths.resize(std::max(widths.size(), row.size()));
    for (std::size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], width(row[i]));
  }
  return widths;
}

}  // namespace

std::string text_table(std::span<const std::vector<std::string>> rows) {
  std::vector<std::vector<std::string>> safe{rows.begin(), rows.end()};
  for (auto& row : safe) {
    for (auto& cell : row) cell = one_line(cell);
  }
  const auto widths = column_widths(safe);
  std::string text;
  for (const auto& row : safe) {
    std::string line;
    for (std::size_t i = 0; i < row.size(); ++i) {
      line += row[i] + std::string(widths[i] - width(row[i]) + 2, ' ');
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + '\n';
  }
  return text;
}

std::string emitter_table(std::span<const EmitterView> emitters, TimePoint now) {
  std::vector<std::vector<std::string>> rows{{"FREQUENCY", "POSITION", "95 % ELLIPSE", "STATIONS",
                                              "STATE", "REGISTER", "LAST HEARD", "EMITTER",
                                              "NAME"}};
  for (const EmitterView& v : emitters) rows.push_back(emitter_cells(v, now));
  return text_table(rows);
}

}  // namespace fixwright::report
