#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include "server/base/geo.hpp"
#include "server/model/ids.hpp"
#include "server/model/transmission.hpp"

namespace fixwright {

/// Why no fix was made. The word is the same in log, metric, proto and SQL.
enum class Refusal {
  none,
  one_station,    // bearings of fewer than two places
  no_crossing,    // parallel, diverging, or crossing behind a station
  poor_geometry,  // bearings cross at too small an angle
  ambiguous,      // a rival place is nearly as likely
  inconsistent,   // three or more stations, and no three agree
  out_of_range,   // the best place is farther than the limit
  unbounded,      // the region reaches the edge of the search
};
std::string_view to_string(Refusal r);

/// How much a fix has been checked.
enum class FixGrade {
  checked,    // three or more stations agree
  unchecked,  // two stations: nobody can check it
  odd,        // the residuals disagree with the stated sigmas
};
std::string_view to_string(FixGrade g);

/// What the region is.
enum class RegionKind {
  ellipse,     // from the information matrix; the fix is near-linear
  posterior,   // kept for the wire and the tables: never produced, likelihood covers it
  likelihood,  // the contour of the likelihood ratio itself; the ellipse only covers it
};
std::string_view to_string(RegionKind k);
std::string_view to_string(ResultState s);

/// Bearings of one station, as one observation for a cross-fix.
struct PooledBearing {
  StationId station = 0;
  GeoPoint station_position;
  double azimuth_deg = 0.0;  // circular weighted mean, [0, 360)
  double sigma_deg = 0.0;    // of the mean, the site's floor included
  int count = 1;             // bearings behind it
  std::vector<AlternativeAzimuth> alternatives;
  /// Error of station_position, one axis, m: at range r it adds the angle sigma / r. 0 for a fixed
  /// station.
  double station_sigma_m = 0.0;
  bool station_moves = false;
};

/// What became of one pooled bearing in a cross-fix.
struct PooledVerdict {
  double residual_deg = 0.0;  // observed minus computed, [-180, 180)
  double weight = 0.0;        // share of the bearing in the fix, [0, 1]
  bool used = false;          // false: set aside
  /// Which azimuth was believed: -1 the main one, else an index into alternatives.
  int alternative = -1;
};

/// Where bearings cross, or why they don't. No field is ever NaN.
struct CrossFix {
  Refusal refusal = Refusal::none;
  FixGrade grade = FixGrade::unchecked;
  GeoPoint position;        // meaningful when accepted
  EnCovariance covariance;  // meaningful when accepted
  ErrorEllipse ellipse;     // at 95 %
  RegionKind region_kind = RegionKind::ellipse;
  std::vector<GeoPoint> region;  // closed ring at 95 %, counter-clockwise; empty for an ellipse
  bool region_open = false;      // cut off at the range limit
  double chi_square = 0.0;       // of the used bearings
  int degrees_of_freedom = 0;    // used stations - 2, >= 0
  double p_value = 1.0;          // of chi_square; 1 with no degree of freedom
  double crossing_deg = 0.0;     // largest angle, folded to [0, 90], between two used bearings
  int iterations = 0;
  std::vector<PooledVerdict> verdicts;  // one a pooled bearing, in the order given

  [[nodiscard]] bool accepted() const { return refusal == Refusal::none; }
};

/// A bearing's part in a stored fix.
struct FixBearing {
  BearingKey key;
  double residual_deg = 0.0;
  bool used = false;
  friend bool operator==(const FixBearing&, const FixBearing&) = default;
};

/// A cross-fix with its identity and history: what the table `fix` holds.
struct Fix {
  FixKey key;
  std::uint32_t revision = 1;
  ResultState state = ResultState::provisional;
  TimePoint valid_at;  // middle of its bearings
  double frequency_hz = 0.0;
  int stations = 0;  // that contributed a used bearing
  CrossFix solution;
  std::vector<FixBearing> bearings;
  std::optional<EmitterKey> emitter;
};

}  // namespace fixwright
