#include "tests/e2e/published_sites.hpp"

#include <fmt/core.h>

#include <cmath>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "tests/published/table.hpp"

namespace fixwright::e2e {

namespace {

using published::Row;

// A radial printed to 0.01 degree is off by up to 0.005, evenly: sigma = 0.01 / sqrt(12). So is
// the navaid's place, printed to 0.1 second, 3.09 m.
const double kRadialRounding_deg = 0.01 / std::sqrt(12.0);
const double kPlaceRounding_m = 3.09 / std::sqrt(12.0);
// Azimuths computed, not printed: a sigma small enough that its ellipse shows any mistake.
constexpr double kComputedSigma_deg = 0.0005;

// Each emitter on a channel of its own: the server's raster is 12.5 kHz.
double frequency_hz(double first_hz, std::size_t index) {
  return first_hz + 25'000.0 * static_cast<double>(index);
}

GeoPoint point(const Row& row, const std::string& lat, const std::string& lon) {
  return {row.number(lat), row.number(lon)};
}

void add_radial(SiteEmitter& emitter, const Row& row, const std::string& n) {
  if (row.text("radial" + n + "_mag").empty()) return;
  const GeoPoint navaid = point(row, "nav" + n + "_lat", "nav" + n + "_lon");
  const double range_m = geodesy::distance_m(navaid, emitter.position);
  emitter.bearings.push_back(
      {row.text("nav" + n), navaid, row.number("radial" + n + "_mag"),
       std::hypot(kRadialRounding_deg, kPlaceRounding_m / range_m * kRadToDeg)});
}

SiteBearing along_leg(const Row& row, const std::string& from, const std::string& to) {
  const GeoPoint start = point(row, from + "_lat", from + "_lon");
  const GeoPoint end = point(row, to + "_lat", to + "_lon");
  return {row.text(from + "_id"), start, geodesy::inverse(start, end).azimuth1_deg,
          kComputedSigma_deg};
}

}  // namespace

std::vector<SiteEmitter> navaid_emitters() {
  std::vector<SiteEmitter> emitters;
  for (const Row& row : published::table("navaid_fixes.csv")) {
    SiteEmitter emitter{row.text("fix"),
                        point(row, "fix_lat", "fix_lon"),
                        frequency_hz(118e6, emitters.size()),
                        {}};
    add_radial(emitter, row, "1");
    add_radial(emitter, row, "2");
    emitters.push_back(std::move(emitter));
  }
  return emitters;
}

std::vector<SiteEmitter> airway_emitters() {
  std::vector<SiteEmitter> emitters;
  for (const Row& row : published::table("airway_crossings.csv")) {
    emitters.push_back({row.text("fix"),
                        point(row, "fix_lat", "fix_lon"),
                        frequency_hz(225e6, emitters.size()),
                        {along_leg(row, "a", "b"), along_leg(row, "c", "d")}});
  }
  return emitters;
}

std::vector<SiteEmitter> geodesic_emitters() {
  std::vector<SiteEmitter> emitters;
  for (const Row& row : published::table("geodesic_crossings.csv")) {
    const std::string number = std::to_string(emitters.size() + 1);
    emitters.push_back({"CROSSING-" + number,
                        point(row, "lat", "lon"),
                        frequency_hz(400e6, emitters.size()),
                        {{"A-" + number, point(row, "a_lat", "a_lon"),
                          wrap_360(row.number("azimuth_ab")), kComputedSigma_deg},
                         {"C-" + number, point(row, "c_lat", "c_lon"),
                          wrap_360(row.number("azimuth_cd")), kComputedSigma_deg}}});
  }
  return emitters;
}

std::map<std::string, std::string> station_lines(const std::vector<SiteEmitter>& emitters,
                                                 TimePoint at) {
  std::map<std::string, std::string> lines;
  for (const SiteEmitter& emitter : emitters) {
    for (const SiteBearing& bearing : emitter.bearings) {
      std::string& text = lines[bearing.station];
      if (text.empty()) text = "when;mhz;bearing;spread\n";
      text += fmt::format("{};{:.6f};{:.12f};{}\n", format_rfc3339(at, 9),
                          emitter.frequency_hz / 1e6, bearing.azimuth_deg, bearing.sigma_deg);
    }
  }
  return lines;
}

std::map<std::string, GeoPoint> station_positions(const std::vector<SiteEmitter>& emitters) {
  std::map<std::string, GeoPoint> positions;
  for (const SiteEmitter& emitter : emitters) {
    for (const SiteBearing& bearing : emitter.bearings) {
      positions[bearing.station] = bearing.position;
    }
  }
  return positions;
}

}  // namespace fixwright::e2e
