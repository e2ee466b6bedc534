#include "server/tools/explained_fix.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <fstream>

#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/report/csv.hpp"
#include "server/tools/fix_drawing.hpp"

namespace fixwright::tools {

namespace {

/// What a person can do with the reason.
std::string_view meaning(Refusal refusal) {
  switch (refusal) {
    case Refusal::none:
      return "accepted";
    case Refusal::one_station:
      return "bearings of fewer than two places";
    case Refusal::no_crossing:
      return "no two bearings cross ahead of both stations within twice the range limit";
    case Refusal::poor_geometry:
      return "the bearings cross at too small an angle (--min-crossing)";
    case Refusal::ambiguous:
      return "another place explains the bearings nearly as well";
    case Refusal::inconsistent:
      return "no three stations agree in a way that chance would not bring about";
    case Refusal::out_of_range:
      return "the best place is farther from a station than allowed (--max-range)";
    case Refusal::unbounded:
      return "the 95 % region reaches the range limit: a direction, not a place";
  }
  return "";
}

/// Smallest angle at which two believed bearings cross at the place; 90 with fewer than two.
double smallest_crossing_deg(const locate::GroupFix& group) {
  double least = 90.0;
  for (std::size_t i = 0; i < group.pooled.size(); ++i) {
    for (std::size_t j = i + 1; j < group.pooled.size(); ++j) {
      if (group.fix.verdicts[i].used && group.fix.verdicts[j].used) {
        const auto arrival_deg = [&](std::size_t k) {
          return geodesy::inverse(group.pooled[k].station_position, group.fix.position)
              .azimuth2_deg;
        };
        least = std::min(least, geodesy::crossing_angle_deg(arrival_deg(i), arrival_deg(j)));
      }
    }
  }
  return least;
}

void write_place(const CrossFix& fix, const locate::GroupFix& group, std::ostream& out) {
  const ErrorEllipse& e = fix.ellipse;
  out << fmt::format("place       {:.7f}, {:.7f}\n", fix.position.latitude_deg,
                     fix.position.longitude_deg);
  out << fmt::format("95 % region {}: {:.0f} x {:.0f} m, long axis at {:.1f} deg{}\n",
                     to_string(fix.region_kind), e.semi_major_m, e.semi_minor_m, e.orientation_deg,
                     fix.region.empty() ? "" : "; the ellipse only covers it");
  out << fmt::format("residuals   chi-square {:.2f}, {} degrees of freedom, p {:.3g}\n",
                     fix.chi_square, fix.degrees_of_freedom, fix.p_value);
  // Position error a degree of error of every bearing makes, root mean square.
  double squares = 0.0;
  int used = 0;
  for (std::size_t i = 0; i < group.pooled.size(); ++i) {
    squares += fix.verdicts[i].used ? std::pow(group.pooled[i].sigma_deg, 2) : 0.0;
    used += fix.verdicts[i].used ? 1 : 0;
  }
  const double drms_m = std::sqrt(fix.covariance.ee_m2 + fix.covariance.nn_m2);
  out << fmt::format(
      "geometry    crossings {:.1f} to {:.1f} deg; dilution {:.0f} m of position a degree of "
      "bearing\n",
      smallest_crossing_deg(group), fix.crossing_deg, drms_m / std::sqrt(squares / used));
  out << fmt::format("solver      {} iterations\n", fix.iterations);
}

void write_bearings(const locate::GroupFix& group, const StationNames& names, std::ostream& out) {
  out << fmt::format("{:<20} {:>9} {:>7} {:>5} {:>10} {:>7} {:>7}  {}\n", "station", "azimuth",
                     "sigma", "count", "residual", "sigmas", "weight", "verdict");
  for (std::size_t i = 0; i < group.pooled.size(); ++i) {
    const PooledBearing& b = group.pooled[i];
    const PooledVerdict& v = group.fix.verdicts[i];
    const bool used = group.fix.accepted() && v.used;
    out << fmt::format("{:<20} {:>9.3f} {:>7.3f} {:>5} {:>10.3f} {:>7.2f} {:>7.3f}  {}{}\n",
                       name_of(b.station, names), b.azimuth_deg, b.sigma_deg, b.count,
                       v.residual_deg, v.residual_deg / b.sigma_deg, v.weight,
                       used ? "used" : "set aside",
                       v.alternative < 0 ? "" : fmt::format(", alternative {}", v.alternative + 1));
  }
}

}  // namespace

void write_fix(const ExplainedFix& explained, std::ostream& out) {
  const locate::GroupFix& group = explained.group;
  const CrossFix& fix = group.fix;
  out << fmt::format("fix         {}, {:.0f} Hz\n", report::fix_text(explained.key),
                     explained.frequency_hz);
  if (fix.accepted()) {
    out << fmt::format("verdict     accepted, {}\n", to_string(fix.grade));
    write_place(fix, group, out);
  } else {
    out << fmt::format("verdict     refused, {}: {}\n", to_string(fix.refusal),
                       meaning(fix.refusal));
  }
  for (const std::string& line : explained.remarks) out << line << '\n';
  write_bearings(group, explained.names, out);
  const auto unplaced = std::count(group.pooled_of.begin(), group.pooled_of.end(), -1);
  if (unplaced > 0) {
    out << fmt::format("{} bearings of the transmission point elsewhere and had no part in it\n",
                       unplaced);
  }
  out << "A region is evidence of a place, never proof of who transmits.\n";
}

bool draw(const ExplainedFix& explained, const std::string& path, std::ostream& err) {
  if (path.empty()) return true;
  std::ofstream file(path);
  file << fix_svg(explained.group, explained.names) << std::flush;
  if (!file) {
    err << fmt::format("{}: can't be written; give a file in a folder that exists\n", path);
  }
  return static_cast<bool>(file);
}

}  // namespace fixwright::tools
