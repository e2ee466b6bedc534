#include "server/tools/fix_drawing.hpp"

#include <fmt/core.h>

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/report/geojson.hpp"
#include "server/report/sheet_frame.hpp"

namespace fixwright::tools {

namespace {

using geodesy::EnOffset;
using report::SheetFrame;

constexpr double kSize = 800.0;  // pixels, both ways

SheetFrame frame_of(const std::vector<EnOffset>& points) {
  constexpr double kLeast_m = 100.0;
  return report::frame_round(points, {.size = kSize, .inside = 0.45, .middle = {}, .half_m = 1.0},
                             kLeast_m);
}

/// What a name must not do to XML.
std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    out += c == '&' ? "&amp;" : c == '<' ? "&lt;" : c == '>' ? "&gt;" : std::string{c};
  }
  return out;
}

std::string polygon(const std::vector<EnOffset>& ring, const SheetFrame& frame) {
  std::string points;
  for (const EnOffset& p : ring) {
    points += fmt::format("{:.1f},{:.1f} ", frame.x(p), frame.y(p));
  }
  return fmt::format(
      "<polygon points=\"{}\" fill=\"#2b6cb0\" fill-opacity=\"0.2\" stroke=\"#2b6cb0\"/>\n",
      points);
}

std::string bearing_line(EnOffset station, const PooledBearing& bearing,
                         const PooledVerdict& verdict, const std::string& name,
                         const SheetFrame& frame) {
  const double azimuth_deg =
      verdict.alternative < 0
          ? bearing.azimuth_deg
          : bearing.alternatives[static_cast<std::size_t>(verdict.alternative)].azimuth_deg;
  const double reach_m = 3.0 * frame.half_m;
  const EnOffset end{station.east_m + reach_m * std::sin(azimuth_deg * kDegToRad),
                     station.north_m + reach_m * std::cos(azimuth_deg * kDegToRad)};
  const double x = frame.x(station);
  const double y = frame.y(station);
  const bool at_right = x > kSize / 2.0;  // its name goes to the left, or it would leave the sheet
  return fmt::format(
      "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"{}\"{}/>\n"
      "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"10\" height=\"10\"/>\n"
      "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">{}</text>\n",
      x, y, frame.x(end), frame.y(end), verdict.used ? "#222222" : "#b7472a",
      verdict.used ? "" : " stroke-dasharray=\"6 5\"", x - 5.0, y - 5.0,
      at_right ? x - 8.0 : x + 8.0, y - 8.0, at_right ? "end" : "start", escaped(name));
}

}  // namespace

std::string fix_svg(const locate::GroupFix& group, const StationNames& names) {
  const bool placed = group.fix.accepted();
  const GeoPoint origin = placed                  ? group.fix.position
                          : !group.pooled.empty() ? group.pooled.front().station_position
                                                  : GeoPoint{};
  std::vector<EnOffset> ring;
  if (placed) {
    for (const GeoPoint& p : report::region_ring(group.fix)) {
      ring.push_back(geodesy::offset(origin, p));
    }
  }
  std::vector<EnOffset> points = ring;
  for (const PooledBearing& b : group.pooled) {
    points.push_back(geodesy::offset(origin, b.station_position));
  }
  const SheetFrame frame = frame_of(points);
  std::string svg = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {0:.0f}\" "
      "font-family=\"sans-serif\" font-size=\"13\">\n"
      "<title>95 % region: evidence of a place, never proof of who transmits</title>\n",
      kSize);
  svg += ring.empty() ? "" : polygon(ring, frame);
  for (std::size_t i = 0; i < group.pooled.size(); ++i) {
    const PooledBearing& b = group.pooled[i];
    svg += bearing_line(geodesy::offset(origin, b.station_position), b, group.fix.verdicts[i],
                        name_of(b.station, names), frame);
  }
  if (placed) {
    svg += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\"/>\n", frame.x({}), frame.y({}));
  }
  return svg + "</svg>\n";
}

}  // namespace fixwright::tools
