#include "station_agent/calibrate/reference.hpp"

#include <fmt/core.h>

namespace fixwright::agent::calibrate {

namespace {

constexpr double kHighest_hz = 3e11;

Result<std::vector<Reference>> common(const std::vector<double>& frequencies_hz) {
  std::vector<Reference> all;
  for (const double f_hz : frequencies_hz) {
    if (!(f_hz > 0.0 && f_hz <= kHighest_hz)) {
      return Error{fmt::format("--common-reference {}: must be above 0 to 3e11 Hz", f_hz)};
    }
    all.push_back({f_hz, std::nullopt});
  }
  return all;
}

}  // namespace

Result<std::vector<Reference>> references_of(const std::vector<double>& common_hz,
                                             const std::vector<std::string>& transmitters,
                                             const std::optional<GeoPoint>& station) {
  if (common_hz.empty() == transmitters.empty()) {
    return Error{
        "calibrate needs either --common-reference FREQ_HZ or --transmitter "
        "LAT,LON,FREQ_HZ, each as often as wanted, not both"};
  }
  if (!common_hz.empty()) return common(common_hz);
  if (!station) {
    return Error{
        "--transmitter: the station's own place is not known, so no true azimuth: set "
        "station.latitude_deg and longitude_deg"};
  }
  std::vector<Reference> all;
  for (const std::string& text : transmitters) {
    const auto parsed = check::parse_transmitter(text);
    if (!parsed) return Error{parsed.error()};
    all.push_back({parsed->frequency_hz, check::line_to(*station, parsed->place)});
  }
  return all;
}

double curvature_deg(const array::ArrayGeometry& geometry, const Reference& reference) {
  if (!reference.line) return 0.0;
  const double d_m = array::aperture_m(geometry);
  const double wavelength_m = array::kSpeedOfLight_m_s / reference.frequency_hz;
  return 360.0 * d_m * d_m / (8.0 * wavelength_m * reference.line->range_m);
}

std::string describe(const std::vector<Reference>& references) {
  std::string text = references.front().line ? "" : "common reference at ";
  for (const Reference& r : references) {
    if (&r != &references.front()) text += r.line ? "; " : ", ";
    text += fmt::format("{:.6f} MHz", r.frequency_hz / 1e6);
    if (!r.line) continue;
    text += fmt::format(" from a transmitter at {:.2f} deg, {:.0f} m", r.line->azimuth_deg,
                        r.line->range_m);
  }
  return text;
}

}  // namespace fixwright::agent::calibrate
