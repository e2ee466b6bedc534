#include "server/calibrate/reference_bias.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>
#include <vector>

#include "server/base/angle.hpp"
#include "server/calibrate/median.hpp"
#include "server/geodesy/geodesic.hpp"

namespace fixwright::calibrate {

namespace {

constexpr double kGrossSpreads = 3.0;    // farther than this a bearing is told as gross
constexpr double kLeastAgreement = 0.3;  // mean resultant length; 20 % uniform errors leave 0.8

struct Differences {
  std::vector<double> deg;  // indicated minus true
  std::set<std::pair<double, double>> references;
  std::size_t too_near = 0;
};

Differences differences(std::span<const ReferenceBearing> bearings, const ReferenceRules& rules) {
  Differences d;
  for (const ReferenceBearing& b : bearings) {
    const auto line = geodesy::inverse(b.station_position, b.reference);
    if (line.range_m < rules.min_distance_m) {
      ++d.too_near;
      continue;
    }
    d.deg.push_back(wrap_180(b.azimuth_deg - line.azimuth1_deg));
    d.references.emplace(b.reference.latitude_deg, b.reference.longitude_deg);
  }
  return d;
}

struct MeanDirection {
  double deg = 0.0;
  double agreement = 0.0;  // 1: all the same; 0: no direction
};

MeanDirection mean_direction(const std::vector<double>& deg) {
  double east = 0.0;
  double north = 0.0;
  for (const double d : deg) {
    east += std::sin(d * kDegToRad);
    north += std::cos(d * kDegToRad);
  }
  return {std::atan2(east, north) * kRadToDeg,
          std::hypot(east, north) / static_cast<double>(deg.size())};
}

Error refuse(StationId station, const std::string& why) {
  return Error{fmt::format("station {}: no calibration proposed: {}", station, why)};
}

}  // namespace

Result<CalibrationProposal> reference_bias(std::span<const ReferenceBearing> bearings,
                                           const ReferenceRules& rules) {
  if (bearings.empty()) return Error{"no calibration proposed: no bearings of a reference"};
  const StationId station = bearings.front().station;
  for (const ReferenceBearing& b : bearings) {
    if (b.station != station) {
      return refuse(station, fmt::format("bearings of station {} are among its own", b.station));
    }
  }
  const Differences d = differences(bearings, rules);
  if (d.deg.size() < rules.min_bearings) {
    return refuse(station,
                  fmt::format("{} bearings of a reference, need {}; {} were nearer to it "
                              "than {:g} m",
                              d.deg.size(), rules.min_bearings, d.too_near, rules.min_distance_m));
  }
  const MeanDirection mean = mean_direction(d.deg);
  if (mean.agreement < kLeastAgreement) {
    return refuse(station, fmt::format("its {} bearings agree on no direction; is it the reference "
                                       "that was heard?",
                                       d.deg.size()));
  }
  // About their mean direction the differences are a line, not a circle.
  std::vector<double> centred;
  for (const double deg : d.deg) centred.push_back(wrap_180(deg - mean.deg));
  const double middle = median(centred);
  std::vector<double> deviations;
  for (const double deg : centred) deviations.push_back(std::abs(deg - middle));

  CalibrationProposal p;
  p.station = station;
  p.bias_deg = wrap_180(mean.deg + middle);
  p.spread_deg = kMadToSigma * median(deviations);
  p.bearings = d.deg.size();
  p.bias_sigma_deg = kMedianToMean * p.spread_deg / std::sqrt(static_cast<double>(p.bearings));
  p.references = d.references.size();
  const auto [first, last] = std::ranges::minmax(bearings, {}, &ReferenceBearing::at);
  p.first = first.at;
  p.last = last.at;
  const auto gross = std::ranges::count_if(
      deviations, [&](double deg) { return deg > kGrossSpreads * p.spread_deg; });
  p.evidence = fmt::format(
      "{} bearings of {} reference transmitters: median {:+.2f} deg, spread {:.2f} deg; {} lie "
      "farther out than {:g} spreads; {} nearer than {:g} m were left out",
      p.bearings, p.references, p.bias_deg, p.spread_deg, gross, kGrossSpreads, d.too_near,
      rules.min_distance_m);
  return p;
}

}  // namespace fixwright::calibrate
