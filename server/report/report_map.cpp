#include "server/report/report_map.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "server/report/html.hpp"
#include "server/report/sheet_frame.hpp"
#include "server/report/station_summary.hpp"

namespace fixwright::report {

namespace {

using geodesy::EnOffset;

constexpr double kSize = 720.0;  // units of the drawing, both ways

SheetFrame frame_of(const std::vector<EnOffset>& points) {
  constexpr double kLeast_m = 200.0;
  return frame_round(points, {.size = kSize, .inside = 0.42, .middle = {}, .half_m = 1.0},
                     kLeast_m);
}

std::string number(double value) { return fmt::format("{:.1f}", value); }

pugi::xml_node line(pugi::xml_node svg, double x1, double y1, double x2, double y2) {
  pugi::xml_node node = svg.append_child("line");
  with(with(with(with(node, "x1", number(x1)), "y1", number(y1)), "x2", number(x2)), "y2",
       number(y2));
  return node;
}

pugi::xml_node label(pugi::xml_node svg, double x, double y, const std::string& text) {
  return with(with(add_element(svg, "text", text), "x", number(x)), "y", number(y));
}

/// 1, 2 or 5 times a power of ten, at most `wanted`.
double round_step(double wanted) {
  const double power = std::pow(10.0, std::floor(std::log10(wanted)));
  return wanted >= 5.0 * power ? 5.0 * power : wanted >= 2.0 * power ? 2.0 * power : power;
}

/// Meridians and parallels; straight within the sheet's few hundred kilometres.
void add_graticule(pugi::xml_node svg, const SheetFrame& frame, GeoPoint origin) {
  constexpr double kMetresPerDegree = 111'000.0;
  const double step_deg = round_step(0.8 * frame.half_m / kMetresPerDegree);
  const double reach_deg = 3.0 * frame.half_m / kMetresPerDegree /
                           std::max(0.1, std::cos(origin.latitude_deg * kDegToRad));
  const auto first = [&](double from) { return std::ceil((from - reach_deg) / step_deg); };
  for (double n = first(origin.latitude_deg); n * step_deg <= origin.latitude_deg + reach_deg;
       ++n) {
    const double lat = n * step_deg;
    if (std::abs(lat) > 89.0) continue;
    const double y = frame.y(geodesy::offset(origin, {lat, origin.longitude_deg}));
    if (y < 20.0 || y > kSize - 20.0) continue;
    with(line(svg, 0.0, y, kSize, y), "class", "grid");
    with(label(svg, 4.0, y - 3.0, fmt::format("{:g}° {}", std::abs(lat), lat < 0.0 ? "S" : "N")),
         "class", "grid");
  }
  for (double n = first(origin.longitude_deg); n * step_deg <= origin.longitude_deg + reach_deg;
       ++n) {
    const double lon = wrap_180(n * step_deg);
    const double x = frame.x(geodesy::offset(origin, {origin.latitude_deg, lon}));
    if (x < 60.0 || x > kSize - 20.0) continue;
    with(line(svg, x, 0.0, x, kSize), "class", "grid");
    with(label(svg, x + 3.0, kSize - 4.0,
               fmt::format("{:g}° {}", std::abs(lon), lon < 0.0 ? "W" : "E")),
         "class", "grid");
  }
}

void add_region(pugi::xml_node svg, const SheetFrame& frame, GeoPoint origin,
                const std::vector<std::vector<GeoPoint>>& region) {
  for (const auto& ring : region) {
    std::string points;
    for (const GeoPoint& p : ring) {
      const EnOffset at = geodesy::offset(origin, p);
      points += fmt::format("{:.1f},{:.1f} ", frame.x(at), frame.y(at));
    }
    with(with(svg.append_child("polygon"), "points", points), "class", "region");
  }
}

void add_station(pugi::xml_node svg, const SheetFrame& frame, EnOffset at,
                 const EvidenceStation& station, const StationSummary* heard) {
  const double x = frame.x(at);
  const double y = frame.y(at);
  if (heard != nullptr && heard->used > 0) {
    const double reach = 3.0 * kSize;
    const double turn = heard->mean_azimuth_deg * kDegToRad;
    with(line(svg, x, y, x + reach * std::sin(turn), y - reach * std::cos(turn)), "class",
         "bearing");
  }
  pugi::xml_node square = svg.append_child("rect");
  with(with(with(with(square, "x", number(x - 5.0)), "y", number(y - 5.0)), "width", "10"),
       "height", "10");
  const bool at_right = x > kSize / 2.0;
  with(label(svg, at_right ? x - 9.0 : x + 9.0, y - 8.0, station.name), "text-anchor",
       at_right ? "end" : "start");
}

void add_scale(pugi::xml_node svg, const SheetFrame& frame) {
  const double length_m = round_step(0.5 * frame.half_m);
  const double y = kSize - 30.0;
  const double right = kSize - 20.0;
  with(line(svg, right - frame.length(length_m), y, right, y), "class", "scale");
  const std::string text = length_m >= 1000.0 ? fmt::format("{:g} km", length_m / 1000.0)
                                              : fmt::format("{:g} m", length_m);
  with(label(svg, right, y - 5.0, text), "text-anchor", "end");
}

void add_roads(pugi::xml_node svg, const SheetFrame& frame, GeoPoint origin,
               std::span<const Road> roads) {
  for (const Road& road : roads) {
    std::string points;
    bool near = false;
    for (const GeoPoint& p : road.line) {
      const EnOffset at = geodesy::offset(origin, p);
      near = near || std::hypot(at.east_m, at.north_m) < 50.0 * frame.half_m;
      points += fmt::format("{:.1f},{:.1f} ", frame.x(at), frame.y(at));
    }
    if (near) with(with(svg.append_child("polyline"), "points", points), "class", "road");
  }
}

std::vector<EnOffset> region_points(const EmitterEvidence& evidence) {
  std::vector<EnOffset> points{{}};
  for (const auto& ring : evidence.region) {
    for (const GeoPoint& p : ring) points.push_back(geodesy::offset(evidence.position, p));
  }
  return points;
}

pugi::xml_node begin_map(pugi::xml_node parent, const char* about) {
  pugi::xml_node svg = parent.append_child("svg");
  return with(with(with(svg, "viewBox", fmt::format("0 0 {0:.0f} {0:.0f}", kSize)), "role", "img"),
              "aria-label", about);
}

void add_emitter(pugi::xml_node svg, const SheetFrame& frame) {
  with(with(with(svg.append_child("circle"), "cx", number(frame.x({}))), "cy", number(frame.y({}))),
       "r", "4");
}

}  // namespace

void add_network_map(pugi::xml_node parent, const EmitterEvidence& evidence) {
  const GeoPoint origin = evidence.position;
  std::vector<EnOffset> points = region_points(evidence);
  for (const auto& s : evidence.stations) points.push_back(geodesy::offset(origin, s.position));
  const SheetFrame frame = frame_of(points);
  pugi::xml_node svg =
      begin_map(parent, "Map of the stations, their lines of bearing and the emitter's region");
  add_graticule(svg, frame, origin);
  add_region(svg, frame, origin, evidence.region);
  const auto heard = summarise(evidence.bearings);
  for (const EvidenceStation& s : evidence.stations) {
    const auto found = std::find_if(heard.begin(), heard.end(),
                                    [&](const StationSummary& h) { return h.name == s.name; });
    add_station(svg, frame, geodesy::offset(origin, s.position), s,
                found == heard.end() ? nullptr : &*found);
  }
  add_emitter(svg, frame);
  add_scale(svg, frame);
}

void add_region_map(pugi::xml_node parent, const EmitterEvidence& evidence,
                    std::span<const Road> roads) {
  std::vector<EnOffset> points = region_points(evidence);
  if (const auto road = nearest_road(evidence.position, roads, 5.0 * evidence.semi_major_m)) {
    points.push_back(geodesy::offset(evidence.position, road->position));
  }
  const SheetFrame frame = frame_of(points);
  pugi::xml_node svg = begin_map(parent, "The emitter's region, close up");
  add_graticule(svg, frame, evidence.position);
  add_roads(svg, frame, evidence.position, roads);
  add_region(svg, frame, evidence.position, evidence.region);
  add_emitter(svg, frame);
  add_scale(svg, frame);
}

}  // namespace fixwright::report
