#include "server/report/csv.hpp"

#include <fmt/core.h>

#include <vector>

#include "server/base/csv.hpp"
#include "server/base/time.hpp"

namespace fixwright::report {

namespace {

/// 9 digits are 0.1 mm: below what any fix means, above what rounding may spoil in a comparison.
std::string degrees(double deg) { return fmt::format("{:.9f}", deg); }
std::string metres(double m) { return fmt::format("{:.3f}", m); }
/// 12 significant digits without an exponent: millihertz at 100 MHz.
std::string hertz(double hz) { return fmt::format("{:.12g}", hz); }

/// latitude, longitude, semi_major_m, semi_minor_m, orientation_deg; empty when refused.
std::vector<std::string> place_cells(const CrossFix& fix) {
  if (!fix.accepted()) return std::vector<std::string>(5);
  return {degrees(fix.position.latitude_deg), degrees(fix.position.longitude_deg),
          metres(fix.ellipse.semi_major_m), metres(fix.ellipse.semi_minor_m),
          fmt::format("{:.2f}", fix.ellipse.orientation_deg)};
}

void append(std::vector<std::string>& to, const std::vector<std::string>& cells) {
  to.insert(to.end(), cells.begin(), cells.end());
}

}  // namespace

std::string emitter_text(EmitterKey key) { return fmt::format("{}/{}", key.channel, key.id); }

std::string fix_text(const FixKey& key) {
  return fmt::format("{}/{}/{}", key.transmission.channel,
                     format_rfc3339(key.transmission.start, 9), key.ordinal);
}

std::string fix_csv_header() {
  return "fix,emitter,time,frequency_hz,latitude,longitude,semi_major_m,semi_minor_m,"
         "orientation_deg,probability,stations,bearings_used,bearings_rejected,chi_square,grade,"
         "refusal\n";
}

std::string fix_csv_row(const Fix& fix) {
  const CrossFix& s = fix.solution;
  std::size_t used = 0;
  for (const FixBearing& b : fix.bearings) used += b.used ? 1 : 0;
  std::vector<std::string> cells{fix_text(fix.key), fix.emitter ? emitter_text(*fix.emitter) : "",
                                 format_rfc3339(fix.valid_at), hertz(fix.frequency_hz)};
  append(cells, place_cells(s));
  append(cells, {s.accepted() ? fmt::format("{:g}", s.ellipse.probability) : "",
                 std::to_string(fix.stations), std::to_string(used),
                 std::to_string(fix.bearings.size() - used),
                 s.accepted() ? fmt::format("{:.4f}", s.chi_square) : "",
                 s.accepted() ? std::string{to_string(s.grade)} : "",
                 s.accepted() ? "" : std::string{to_string(s.refusal)}});
  return csv_row(cells);
}

std::string emitter_csv_header() {
  return "emitter,time,latitude,longitude,semi_major_m,semi_minor_m,orientation_deg,"
         "frequency_hz,state\n";
}

std::string emitter_csv_row(const Emitter& emitter) {
  std::vector<std::string> cells{emitter_text(emitter.key), format_rfc3339(emitter.valid_at)};
  append(cells, place_cells(emitter.fix));
  append(cells, {hertz(emitter.frequency_hz), std::string{to_string(emitter.state)}});
  return csv_row(cells);
}

}  // namespace fixwright::report
